-- Marks a claimed message as begun, or frees its chat because it was surely not
-- sent, if the claim still holds.
--
-- KEYS[1] -> out:body
-- KEYS[2] -> out:chats
-- KEYS[3] -> counts
-- ARGV[1] -> chat|sequence
-- ARGV[2] -> the claim's attempt
-- ARGV[3] -> 1 if a request is about to leave, 0 if none was sent
-- ARGV[4] -> chat
-- ARGV[5] -> when the chat may be claimed next, in ms, or empty to keep the lease
--
-- Returns 1 if the claim holds, 0 if it was lost.
local stored = redis.call('HGET', KEYS[1], ARGV[1])
local held = ARGV[2] .. '|'
if not stored or string.sub(stored, 1, #held) ~= held then return 0 end
redis.call('HSET', KEYS[1], ARGV[1], held .. ARGV[3] .. string.sub(stored, #held + 2))
if ARGV[5] ~= '' then
  redis.call('ZADD', KEYS[2], ARGV[5], ARGV[4])
  redis.call('HINCRBY', KEYS[3], 'later', 1)
end
return 1
