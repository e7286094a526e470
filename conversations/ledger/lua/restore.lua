-- Writes records back as they were, over what is there.
--
-- KEYS[1] -> docs        KEYS[2] -> ops         KEYS[3] -> due      KEYS[4] -> due:body
-- KEYS[5] -> out         KEYS[6] -> out:body    KEYS[7] -> out:chats
-- KEYS[8] -> aside       KEYS[9] -> counts      KEYS[10] -> seq
-- KEYS[11] -> ver
-- ARGV[1..] -> of every record its kind, key, what is stored, and its number:
--   a document's version, a message's sequence, a count, else a moment in ms
--
-- Returns how many records it wrote.
local seq = tonumber(redis.call('GET', KEYS[10]) or '0')
local highest = seq

for i = 1, #ARGV, 4 do
  local kind, key, stored, number = ARGV[i], ARGV[i + 1], ARGV[i + 2], ARGV[i + 3]
  if kind == 'doc' then
    redis.call('HSET', KEYS[1], key, stored)
    redis.call('HSET', KEYS[11], key, number)
    highest = math.max(highest, tonumber(number))
  elseif kind == 'op' then
    redis.call('ZADD', KEYS[2], number, key)
  elseif kind == 'due' then
    redis.call('ZADD', KEYS[3], number, key)
    redis.call('HSET', KEYS[4], key, stored)
  elseif kind == 'out' then
    redis.call('ZADD', KEYS[5], 0, key)
    redis.call('HSET', KEYS[6], key, stored)
    redis.call('ZADD', KEYS[7], 0, string.sub(key, 1, string.find(key, '|', 1, true) - 1))
    highest = math.max(highest, tonumber(number))
  elseif kind == 'aside' then
    redis.call('ZADD', KEYS[8], number, stored)
  elseif kind == 'count' then
    redis.call('HSET', KEYS[9], key, number)
  end
end

-- What is given out from now on must be higher than anything restored.
if highest > seq then redis.call('SET', KEYS[10], string.format('%.0f', highest)) end
return #ARGV / 4
