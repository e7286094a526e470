-- Claims due items under a lease. An id without a body, which no script leaves
-- behind, is let go of, lest it stand in front for ever.
--
-- KEYS[1] -> due
-- KEYS[2] -> due:body
-- ARGV[1] -> now in ms
-- ARGV[2] -> end of the lease in ms
-- ARGV[3] -> how many at most
--
-- Returns of every item its id and at|body.
local reply = {}
for _, id in ipairs(redis.call('ZRANGEBYSCORE', KEYS[1], '-inf', ARGV[1], 'LIMIT', 0, ARGV[3])) do
  local stored = redis.call('HGET', KEYS[2], id)
  if stored then
    redis.call('ZADD', KEYS[1], ARGV[2], id)
    reply[#reply + 1] = id
    reply[#reply + 1] = stored
  else
    redis.call('ZREM', KEYS[1], id)
  end
end
return reply
