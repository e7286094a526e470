-- Applies one change, all of it or nothing.
--
-- KEYS[1] -> docs        KEYS[2] -> ops         KEYS[3] -> due      KEYS[4] -> due:body
-- KEYS[5] -> out         KEYS[6] -> out:body    KEYS[7] -> out:chats
-- KEYS[8] -> seq         KEYS[9] -> trouble     KEYS[10] -> counts
-- ARGV[1] -> name of the event
-- ARGV[2] -> now in ms
-- ARGV[3] -> events applied before this moment, in ms, are forgotten
-- ARGV[4..] -> seven lists, each after its length:
--   read (key, version), put (key, links, body), drop (key), finish (id, at in ms),
--   unset (id), set (id, at in ms, body), send (chat, once|not after, body)
--
-- Returns 0 if it was applied, 1 if the event was seen before, 2 if a document is
-- of another version than was read. Nothing is written with 1 and 2.
local docs, ops, due, dueBody = KEYS[1], KEYS[2], KEYS[3], KEYS[4]
local out, outBody, chats = KEYS[5], KEYS[6], KEYS[7]
local seq, trouble, counts = KEYS[8], KEYS[9], KEYS[10]
local op, now = ARGV[1], ARGV[2]

local cursor = 3
local function take()
  cursor = cursor + 1
  return ARGV[cursor]
end

-- What is stored begins with a number and a bar, everywhere.
local function before_bar(stored)
  return string.sub(stored, 1, string.find(stored, '|', 1, true) - 1)
end

-- Doubles hold whole numbers up to 2^53, but are printed shorter unless told.
local function next_seq(format)
  return string.format(format, redis.call('INCR', seq))
end

if redis.call('ZSCORE', ops, op) then return 1 end

for _ = 1, tonumber(take()) do
  local key = take()
  local version = take()
  local stored = redis.call('HGET', docs, key)
  if (stored and before_bar(stored) or '0') ~= version then return 2 end
end

redis.call('ZADD', ops, now, op)

local puts = tonumber(take())
local version = puts > 0 and next_seq('%.0f')
for _ = 1, puts do
  local key = take()
  local links = take()
  redis.call('HSET', docs, key, version .. '|' .. links .. '|' .. take())
end

for _ = 1, tonumber(take()) do redis.call('HDEL', docs, take()) end

local function drop_due(id)
  redis.call('ZREM', due, id)
  redis.call('HDEL', dueBody, id)
end

for _ = 1, tonumber(take()) do
  local id = take()
  local at = take()
  local stored = redis.call('HGET', dueBody, id)
  if stored and before_bar(stored) == at then drop_due(id) end
end

for _ = 1, tonumber(take()) do drop_due(take()) end

for _ = 1, tonumber(take()) do
  local id = take()
  local at = take()
  redis.call('ZADD', due, at, id)
  redis.call('HSET', dueBody, id, at .. '|' .. take())
end

local sends = tonumber(take())
for _ = 1, sends do
  local chat = take()
  local flags = take()
  local member = chat .. '|' .. next_seq('%016.0f')
  redis.call('ZADD', out, 0, member)
  redis.call('HSET', outBody, member, '0|0|' .. flags .. '|' .. take())
  redis.call('ZADD', chats, 'NX', now, chat)
end

-- A bounded number at a time, and more than one commit adds.
for _, old in ipairs(redis.call('ZRANGEBYSCORE', ops, '-inf', '(' .. ARGV[3], 'LIMIT', 0, 32)) do
  redis.call('ZREM', ops, old)
end
redis.call('HDEL', trouble, op)
redis.call('HINCRBY', counts, 'commits', 1)
if sends > 0 then redis.call('HINCRBY', counts, 'queued', sends) end
return 0
