-- Finds when the next message can be claimed. Chats with nothing queued, kept
-- only for their pace, are passed over; after 256 of them the next one is
-- answered unseen, which at worst wakes a sender for nothing.
--
-- KEYS[1] -> out
-- KEYS[2] -> out:chats
--
-- Returns the moment in ms as a string, 0 if nothing is queued.
if redis.call('EXISTS', KEYS[1]) == 0 then return '0' end
local chats = redis.call('ZRANGE', KEYS[2], 0, 256, 'WITHSCORES')
local last = '0'
for i = 1, #chats, 2 do
  local chat = chats[i]
  last = chats[i + 1]
  if redis.call('ZRANGEBYLEX', KEYS[1], '[' .. chat .. '|', '(' .. chat .. '}', 'LIMIT', 0, 1)[1] then return last end
end
return last
