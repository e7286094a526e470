-- Makes a due item claimable at another moment, if it still is the same.
--
-- KEYS[1] -> due
-- KEYS[2] -> due:body
-- ARGV[1] -> id
-- ARGV[2] -> the moment it was set for, in ms
-- ARGV[3] -> when it may be claimed next, in ms
--
-- Returns 1 if it was the same, 0 if it was moved or dropped.
local stored = redis.call('HGET', KEYS[2], ARGV[1])
if not stored or string.sub(stored, 1, #ARGV[2] + 1) ~= ARGV[2] .. '|' then return 0 end
redis.call('ZADD', KEYS[1], ARGV[3], ARGV[1])
return 1
