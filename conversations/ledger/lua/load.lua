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

local i = 1
while queue[i] do
  local stored = redis.call('HGET', KEYS[1], queue[i]) or ''
  reply[#reply + 1] = queue[i]
  reply[#reply + 1] = stored
  local before = string.find(stored, '|', 1, true)
  if before then
    local after = string.find(stored, '|', before + 1, true)
    for link in string.gmatch(string.sub(stored, before + 1, after - 1), '[^ ]+') do want(link) end
  end
  i = i + 1
end
return reply
