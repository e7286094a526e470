-- Counts a failure of an event.
--
-- KEYS[1] -> trouble
-- ARGV[1] -> name of the event
-- ARGV[2] -> seconds after which, without any failure, all counts are forgotten
--
-- Returns how often it has failed.
local times = redis.call('HINCRBY', KEYS[1], ARGV[1], 1)
redis.call('EXPIRE', KEYS[1], ARGV[2])
return times
