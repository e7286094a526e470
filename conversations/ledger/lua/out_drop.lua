-- Puts the first messages of one chat aside, claimed or not. When that was all, the
-- chat is as free as one that was never sent to: nothing was, and whoever lets us in
-- again must not wait out the lease of what was dropped.
--
-- KEYS[1] -> out
-- KEYS[2] -> out:body
-- KEYS[3] -> out:chats
-- KEYS[4] -> aside
-- KEYS[5] -> counts
-- ARGV[1] -> chat
-- ARGV[2] -> how many at most
-- ARGV[3] -> kind of what is put aside
-- ARGV[4] -> reason
-- ARGV[5] -> now in ms
-- ARGV[6] -> name to count it under
-- ARGV[7] -> how many asides are kept
--
-- Returns how many messages it took.
local chat = ARGV[1]
local members = redis.call('ZRANGEBYLEX', KEYS[1], '[' .. chat .. '|', '(' .. chat .. '}', 'LIMIT', 0, ARGV[2])
if #members == 0 then return 0 end
for _, member in ipairs(members) do
  local stored = redis.call('HGET', KEYS[2], member)
  -- attempt|began|once|not after| come before the body.
  local bar = 0
  for _ = 1, 4 do bar = string.find(stored, '|', bar + 1, true) end
  local head = ARGV[3] .. '|' .. #member .. '|' .. #ARGV[4] .. '|' .. member .. ARGV[4]
  redis.call('ZADD', KEYS[4], ARGV[5], head .. string.sub(stored, bar + 1))
  redis.call('ZREM', KEYS[1], member)
  redis.call('HDEL', KEYS[2], member)
end
if #redis.call('ZRANGEBYLEX', KEYS[1], '[' .. chat .. '|', '(' .. chat .. '}', 'LIMIT', 0, 1) == 0 then
  redis.call('ZREM', KEYS[3], chat)
end
redis.call('ZREMRANGEBYRANK', KEYS[4], 0, -1 - tonumber(ARGV[7]))
redis.call('HINCRBY', KEYS[5], ARGV[6], #members)
return #members
