package ledger_test

import (
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"
	"go.uber.org/goleak"

	"example.org/dryhand/conversations/ledger/ledgertest"
)

// TestMain fails if goroutines are left. Those that are about to end may take their time on
// a busy machine: each look is given a second or so by the library itself.
func TestMain(m *testing.M) {
	code := m.Run()
	left := goleak.Find()
	for end := time.Now().Add(time.Minute); code == 0 && left != nil && time.Now().Before(end); {
		left = goleak.Find()
	}
	if code == 0 && left != nil {
		fmt.Fprintln(os.Stderr, left)
		code = 1
	}
	os.Exit(code)
}

// suite is what must hold on every kind of Redis.
var suite = []struct {
	name string
	test func(*testing.T, bench)
}{
	{"CommitAndLoad", testCommitAndLoad},
	{"CommitOutcomes", testCommitOutcomes},
	{"CommitDeletedAndMadeAgain", testCommitDeletedAndMadeAgain},
	{"LoadFollowsLinks", testLoadFollowsLinks},
	{"LoadOfAYear", testLoadOfAYear},
	{"Recall", testRecall},
	{"RecallOfWhatHasMoved", testRecallOfWhatHasMoved},
	{"NumbersAfterALoss", testNumbersAfterALoss},
	{"MemoryIsBounded", testMemoryIsBounded},
	{"CommitForgetsOldEvents", testCommitForgetsOldEvents},
	{"CommitOneWinner", testCommitOneWinner},
	{"CommitRefuses", testCommitRefuses},
	{"ClaimDue", testClaimDue},
	{"DeferDue", testDeferDue},
	{"Finish", testFinish},
	{"ClaimDueByMany", testClaimDueByMany},
	{"DueKeepsMilliseconds", testDueKeepsMilliseconds},
	{"ClaimOutInOrder", testClaimOutInOrder},
	{"OutIsKeptWhole", testOutIsKeptWhole},
	{"PaceOfAnEmptyQueue", testPaceOfAnEmptyQueue},
	{"EmptyQueuesInFront", testEmptyQueuesInFront},
	{"Later", testLater},
	{"Begin", testBegin},
	{"SentAfterTheLease", testSentAfterTheLease},
	{"ClaimRefuses", testClaimRefuses},
	{"SetAside", testSetAside},
	{"CountsOfReasons", testCountsOfReasons},
	{"DropChat", testDropChat},
	{"DropFreesTheChat", testDropFreesTheChat},
	{"Poison", testPoison},
	{"AsidesNewestFirst", testAsidesNewestFirst},
	{"AsidesAreBounded", testAsidesAreBounded},
	{"Ready", testReady},
	{"ExportAndRestore", testExportAndRestore},
	{"EachStops", testEachStops},
	{"RestoreRefuses", testRestoreRefuses},
	{"Erase", testErase},
}

// TestLedger runs the suite on every kind of Redis, each test in a business of
// its own, so that they also show that businesses do not meet.
func TestLedger(t *testing.T) {
	ledgertest.Each(t, func(t *testing.T, rdb redis.UniversalClient) {
		for i, s := range suite {
			t.Run(s.name, func(t *testing.T) { s.test(t, open(t, rdb, fmt.Sprintf("desk-%d", i))) })
		}
	})
}
