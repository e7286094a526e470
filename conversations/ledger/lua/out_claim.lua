-- Claims the first message of chats that may be sent to now, under a lease.
-- A chat with nothing queued, kept only for its pace, is let go of.
--
-- KEYS[1] -> out
-- KEYS[2] -> out:body
-- KEYS[3] -> out:chats
-- ARGV[1] -> now in ms
-- ARGV[2] -> end of the lease in ms
-- ARGV[3] -> how many at most
--
-- Returns of every message its chat|sequence, attempt|began|once|not after|body
-- with this attempt counted, and 1 or 0 for an earlier attempt that began or not.
local now, lease, most = ARGV[1], ARGV[2], tonumber(ARGV[3])
local reply, claimed = {}, 0

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
return reply
