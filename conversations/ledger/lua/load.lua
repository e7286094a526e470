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
local most = tonumber(ARGV[2])
local asked, queue = {}, {}

local function want(key)
  if not asked[key] and #queue < most then
    asked[key] = true
    queue[#queue + 1] = key
  end
end

for i = 3, #ARGV do want(ARGV[i]) end

local reply = {'0'}
if ARGV[1] ~= '' and redis.call('ZSCORE', KEYS[2], ARGV[1]) then reply[1] = '1' end

-- All that is equally far away comes at once.
local done = 0
while done < #queue do
  local found = redis.call('HMGET', KEYS[1], unpack(queue, done + 1))
  for i, stored in ipairs(found) do
    stored = stored or ''
    reply[#reply + 1] = queue[done + i]
    reply[#reply + 1] = stored
    local before = string.find(stored, '|', 1, true)
    if before then
      local after = string.find(stored, '|', before + 1, true)
      for link in string.gmatch(string.sub(stored, before + 1, after - 1), '[^ ]+') do want(link) end
    end
  end
  done = done + #found
end
return reply
