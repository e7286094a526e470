-- Reads documents and what they link to, breadth first.
--
-- KEYS[1] -> docs
-- KEYS[2] -> ops
-- ARGV[1] -> name of the event, may be empty
-- ARGV[2] -> how many documents at most
-- ARGV[3..] -> keys of the documents asked for
--
-- Returns 1 or 0 for an event that was seen or not, then of every document its
-- key and what is stored, which is empty for one that does not exist.
local docs, most = KEYS[1], tonumber(ARGV[2])
local call, find, byte, bar = redis.call, string.find, string.byte, string.byte('|')
local asked, queue, queued = {}, {}, 0

for i = 3, #ARGV do
  local key = ARGV[i]
  if not asked[key] and queued < most then
    asked[key], queued = true, queued + 1
    queue[queued] = key
  end
end

local reply, n = {'0'}, 1
if ARGV[1] ~= '' and call('ZSCORE', KEYS[2], ARGV[1]) then reply[1] = '1' end

-- All that is equally far away comes at once. This is what every event does first,
-- so that it counts its tables itself and looks for links only where there are any.
local done = 0
while done < queued do
  local found = call('HMGET', docs, unpack(queue, done + 1, queued))
  local level = queued - done
  for i = 1, level do
    local stored = found[i] or ''
    reply[n + 1], reply[n + 2] = queue[done + i], stored
    n = n + 2
    local before = find(stored, '|', 1, true)
    if before and byte(stored, before + 1) ~= bar then
      local after = find(stored, '|', before + 1, true)
      for link in string.gmatch(string.sub(stored, before + 1, after - 1), '[^ ]+') do
        if not asked[link] and queued < most then
          asked[link], queued = true, queued + 1
          queue[queued] = link
        end
      end
    end
  end
  done = done + level
end
return reply
