-- Claims the first message of chats that may be sent to now, under a lease.
-- A chat with nothing queued, kept only for its pace, is let go of.
--
-- KEYS[1] -> out
-- KEYS[2] -> out:body
-- KEYS[3] -> out:chats
-- KEYS[4] -> out:pace
-- ARGV[1] -> now in ms
-- ARGV[2] -> end of the lease in ms
-- ARGV[3] -> how many at most
-- ARGV[4] -> ms between two messages, over all chats; 0 sets no bound
-- ARGV[5] -> how many may leave at once after a rest
--
-- Returns of every message its chat|sequence, attempt|began|once|not after|body
-- with this attempt counted, and 1 or 0 for an earlier attempt that began or not.
local now, lease, most = ARGV[1], ARGV[2], tonumber(ARGV[3])
local every, burst = tonumber(ARGV[4]), tonumber(ARGV[5])
local reply, claimed = {}, 0

-- When the messages claimed so far would have left one by one. A clock that went
-- back must not hold everything up: it is never further away than a whole burst.
local left = 0
if every > 0 then
  left = math.min(tonumber(redis.call('GET', KEYS[4]) or '0'), tonumber(now) + burst * every)
  left = math.max(left, tonumber(now))
  most = math.min(most, math.floor((tonumber(now) + burst * every - left) / every))
  if most < 1 then return reply end
end

local function claim(chat)
  local member = redis.call('ZRANGEBYLEX', KEYS[1], '[' .. chat .. '|', '(' .. chat .. '}', 'LIMIT', 0, 1)[1]
  if not member then
    redis.call('ZREM', KEYS[3], chat)
    return
  end
  local stored = redis.call('HGET', KEYS[2], member)
  local bar = string.find(stored, '|', 1, true)
  stored = string.format('%d', tonumber(string.sub(stored, 1, bar - 1)) + 1) .. string.sub(stored, bar)
  redis.call('HSET', KEYS[2], member, stored)
  redis.call('ZADD', KEYS[3], lease, chat)
  bar = string.find(stored, '|', 1, true)
  reply[#reply + 1] = member
  reply[#reply + 1] = stored
  reply[#reply + 1] = string.sub(stored, bar + 1, bar + 1)
  claimed = claimed + 1
end

-- Each chat looked at leaves the range. Four rounds bound the work when many
-- chats turn out empty; what is left is claimed by the next call.
for _ = 1, 4 do
  local ready = redis.call('ZRANGEBYSCORE', KEYS[3], '-inf', now, 'LIMIT', 0, most - claimed)
  for _, chat in ipairs(ready) do claim(chat) end
  if #ready == 0 or claimed == most then break end
end
if every > 0 and claimed > 0 then redis.call('SET', KEYS[4], string.format('%.0f', left + claimed * every)) end
return reply
