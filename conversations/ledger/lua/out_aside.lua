-- Takes a claimed message out of the queue and puts it aside, if the claim still
-- holds.
--
-- KEYS[1] -> out
-- KEYS[2] -> out:body
-- KEYS[3] -> out:chats
-- KEYS[4] -> aside
-- KEYS[5] -> counts
-- ARGV[1] -> chat|sequence
-- ARGV[2] -> the claim's attempt
-- ARGV[3] -> chat
-- ARGV[4] -> when the chat may be claimed next, in ms
-- ARGV[5] -> kind|key length|reason length|key reason
-- ARGV[6] -> now in ms
-- ARGV[7] -> name to count it under
-- ARGV[8] -> how many asides are kept
--
-- Returns 1, or 0 if the claim was lost.
local stored = redis.call('HGET', KEYS[2], ARGV[1])
local held = ARGV[2] .. '|'
if not stored or string.sub(stored, 1, #held) ~= held then return 0 end
-- attempt|began|once|not after| come before the body.
local bar = 0
for _ = 1, 4 do bar = string.find(stored, '|', bar + 1, true) end
redis.call('ZADD', KEYS[4], ARGV[6], ARGV[5] .. string.sub(stored, bar + 1))
redis.call('ZREMRANGEBYRANK', KEYS[4], 0, -1 - tonumber(ARGV[8]))
redis.call('ZREM', KEYS[1], ARGV[1])
redis.call('HDEL', KEYS[2], ARGV[1])
redis.call('ZADD', KEYS[3], ARGV[4], ARGV[3])
redis.call('HINCRBY', KEYS[5], ARGV[7], 1)
return 1
