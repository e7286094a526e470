-- Finds when the next message can be claimed. Chats with nothing queued, kept
-- only for their pace, are passed over; after 256 of them the next one is
-- answered unseen, which at worst wakes a sender for nothing.
--
-- KEYS[1] -> out
-- KEYS[2] -> out:chats
-- KEYS[3] -> out:pace
-- ARGV[1] -> ms between two messages, over all chats; 0 sets no bound
-- ARGV[2] -> how many may leave at once after a rest
--
-- Returns the moment in ms as a string, 0 if nothing is queued.
if redis.call('EXISTS', KEYS[1]) == 0 then return '0' end
local every, burst = tonumber(ARGV[1]), tonumber(ARGV[2])

-- Not before the pace has room for one more.
local function paced(at)
  if every == 0 then return at end
  local room = tonumber(redis.call('GET', KEYS[3]) or '0') - (burst - 1) * every
  return string.format('%.0f', math.max(tonumber(at), room))
end

local chats = redis.call('ZRANGE', KEYS[2], 0, 256, 'WITHSCORES')
local last = '0'
for i = 1, #chats, 2 do
  local chat = chats[i]
  last = chats[i + 1]
  if redis.call('ZRANGEBYLEX', KEYS[1], '[' .. chat .. '|', '(' .. chat .. '}', 'LIMIT', 0, 1)[1] then return paced(last) end
end
return paced(last)
