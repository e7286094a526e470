-- Removes documents, due items, and what is queued for a chat.
--
-- KEYS[1] -> docs
-- KEYS[2] -> due
-- KEYS[3] -> due:body
-- KEYS[4] -> out
-- KEYS[5] -> out:body
-- KEYS[6] -> out:chats
-- KEYS[7] -> ver
-- ARGV[1] -> chat, 0 for none
-- ARGV[2] -> how many keys of documents follow
-- ARGV[3..] -> those, then ids of due items
--
-- Returns 1.
local docs = tonumber(ARGV[2])
for i = 3, 2 + docs do
  redis.call('HDEL', KEYS[1], ARGV[i])
  redis.call('HDEL', KEYS[7], ARGV[i])
end
for i = 3 + docs, #ARGV do
  redis.call('ZREM', KEYS[2], ARGV[i])
  redis.call('HDEL', KEYS[3], ARGV[i])
end
if ARGV[1] ~= '0' then
  for _, member in ipairs(redis.call('ZRANGEBYLEX', KEYS[4], '[' .. ARGV[1] .. '|', '(' .. ARGV[1] .. '}')) do
    redis.call('ZREM', KEYS[4], member)
    redis.call('HDEL', KEYS[5], member)
  end
  redis.call('ZREM', KEYS[6], ARGV[1])
end
return 1
