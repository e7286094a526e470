package ledger_test

import (
	"fmt"
	"testing"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/bot/leaks"
	"example.org/dryhand/conversations/ledger/ledgertest"
)

func TestMain(m *testing.M) { leaks.Main(m) }

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
