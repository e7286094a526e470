-- Puts an event aside and marks it as seen.
--
-- KEYS[1] -> ops
-- KEYS[2] -> aside
-- KEYS[3] -> trouble
-- KEYS[4] -> counts
-- ARGV[1] -> name of the event
-- ARGV[2] -> now in ms
-- ARGV[3] -> what to put aside
-- ARGV[4] -> name to count it under
-- ARGV[5] -> how many asides are kept
--
-- Returns 1, or 0 if the event was seen before.
if redis.call('ZSCORE', KEYS[1], ARGV[1]) then return 0 end
redis.call('ZADD', KEYS[1], ARGV[2], ARGV[1])
redis.call('ZADD', KEYS[2], ARGV[2], ARGV[3])
redis.call('ZREMRANGEBYRANK', KEYS[2], 0, -1 - tonumber(ARGV[5]))
redis.call('HDEL', KEYS[3], ARGV[1])
redis.call('HINCRBY', KEYS[4], ARGV[4], 1)
return 1
