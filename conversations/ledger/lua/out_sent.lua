-- Removes a message that was sent. Its chat is freed only by the holder of the
-- claim; otherwise it stays with the sender who has it now.
--
-- KEYS[1] -> out
-- KEYS[2] -> out:body
-- KEYS[3] -> out:chats
-- KEYS[4] -> counts
-- ARGV[1] -> chat|sequence
-- ARGV[2] -> the claim's attempt
-- ARGV[3] -> chat
-- ARGV[4] -> when the chat may be claimed next, in ms
--
-- Returns 1, or 0 if the message was gone already.
local stored = redis.call('HGET', KEYS[2], ARGV[1])
if not stored then return 0 end
redis.call('ZREM', KEYS[1], ARGV[1])
redis.call('HDEL', KEYS[2], ARGV[1])
local held = ARGV[2] .. '|'
if string.sub(stored, 1, #held) == held then redis.call('ZADD', KEYS[3], ARGV[4], ARGV[3]) end
redis.call('HINCRBY', KEYS[4], 'sent', 1)
return 1
