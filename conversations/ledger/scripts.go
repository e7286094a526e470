package ledger

import (
	_ "embed"

	"github.com/redis/go-redis/v9"
)

// The scripts, each in its file with its contract above it. They use the
// commands of Redis 7.0, declare every key they touch, check before they write,
// and answer with codes.
var (
	//go:embed lua/load.lua
	loadLua string
	//go:embed lua/commit.lua
	commitLua string
	//go:embed lua/due_claim.lua
	dueClaimLua string
	//go:embed lua/due_defer.lua
	dueDeferLua string
	//go:embed lua/out_claim.lua
	outClaimLua string
	//go:embed lua/out_keep.lua
	outKeepLua string
	//go:embed lua/out_sent.lua
	outSentLua string
	//go:embed lua/out_aside.lua
	outAsideLua string
	//go:embed lua/out_drop.lua
	outDropLua string
	//go:embed lua/out_next.lua
	outNextLua string
	//go:embed lua/failed.lua
	failedLua string
	//go:embed lua/poison.lua
	poisonLua string
	//go:embed lua/restore.lua
	restoreLua string
	//go:embed lua/erase.lua
	eraseLua string

	loadScript     = redis.NewScript(loadLua)
	commitScript   = redis.NewScript(commitLua)
	dueClaimScript = redis.NewScript(dueClaimLua)
	dueDeferScript = redis.NewScript(dueDeferLua)
	outClaimScript = redis.NewScript(outClaimLua)
	outKeepScript  = redis.NewScript(outKeepLua)
	outSentScript  = redis.NewScript(outSentLua)
	outAsideScript = redis.NewScript(outAsideLua)
	outDropScript  = redis.NewScript(outDropLua)
	outNextScript  = redis.NewScript(outNextLua)
	failedScript   = redis.NewScript(failedLua)
	poisonScript   = redis.NewScript(poisonLua)
	restoreScript  = redis.NewScript(restoreLua)
	eraseScript    = redis.NewScript(eraseLua)
)
