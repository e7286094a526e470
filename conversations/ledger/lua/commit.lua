-- Applies one change, all of it or nothing.
--
-- KEYS[1] -> docs        KEYS[2] -> ops         KEYS[3] -> due      KEYS[4] -> due:body
-- KEYS[5] -> out         KEYS[6] -> out:body    KEYS[7] -> out:chats
-- KEYS[8] -> seq         KEYS[9] -> trouble     KEYS[10] -> counts  KEYS[11] -> ver
-- ARGV[1] -> name of the event
-- ARGV[2] -> now in ms
-- ARGV[3] -> events applied before this moment, in ms, are forgotten
-- ARGV[4..] -> seven lists, each after its length:
--   read (all keys, then all versions), put (key, links, body), drop (key),
--   finish (id, at in ms), unset (id), set (id, at in ms, body),
--   send (chat, once|not after, body)
--
-- Returns the version of what was put, as text, if it was applied, '0' if nothing was
-- put; 1 if the event was seen before. If documents are of another version than was
-- read, returns of each of them its key and what is stored, empty for one that does
-- not exist. Nothing is written with 1 and these.
local docs, ops, due, dueBody = KEYS[1], KEYS[2], KEYS[3], KEYS[4]
local out, outBody, chats = KEYS[5], KEYS[6], KEYS[7]
local seq, trouble, counts, ver = KEYS[8], KEYS[9], KEYS[10], KEYS[11]
local op, now = ARGV[1], ARGV[2]
local call, argv, cursor = redis.call, ARGV, 3

local function take()
  cursor = cursor + 1
  return argv[cursor]
end

-- What is stored begins with a number and a bar, everywhere.
local function before_bar(stored)
  return string.sub(stored, 1, string.find(stored, '|', 1, true) - 1)
end

-- Counts by the clock as much as by one: a thousand numbers a second, from 2020 on. A
-- store that has lost its last second, counter and all, or was brought back from a copy,
-- does not give a number again that somebody may still remember. Doubles hold whole
-- numbers up to 2^53, but are printed shorter unless told.
local least = (math.floor(tonumber(now) / 1000) - 1577836800) * 1000
local function next_seq(format)
  local n = call('INCR', seq)
  if n < least then
    n = least
    call('SET', seq, string.format('%.0f', n))
  end
  return string.format(format, n)
end

-- Gives those of so many documents that are of another version than was read. They
-- are handed on as they stand in ARGV: most events read many, and write few. Versions
-- are kept beside the documents so that no body needs fetching to compare one.
-- Where ver does not have the version that was read, the document itself decides:
-- it may not exist, or come from a release that knew no ver.
local function moved(reads)
  local known = call('HMGET', ver, unpack(argv, cursor + 1, cursor + reads))
  local unsure, read, reply = {}, {}, {}
  for i = 1, reads do
    local version = argv[cursor + reads + i]
    if known[i] ~= version then
      unsure[#unsure + 1] = argv[cursor + i]
      read[#read + 1] = version
    end
  end
  if #unsure == 0 then return reply end
  for i, stored in ipairs(call('HMGET', docs, unpack(unsure))) do
    if (stored and before_bar(stored) or '0') ~= read[i] then
      reply[#reply + 1] = unsure[i]
      reply[#reply + 1] = stored or ''
    end
  end
  return reply
end

if call('ZSCORE', ops, op) then return 1 end

local reads = tonumber(take())
if reads > 0 then
  local reply = moved(reads)
  if #reply > 0 then return reply end
  cursor = cursor + 2 * reads
end

-- First, as this is what a server whose memory is full refuses; once a script has
-- written it lets all the rest through.
call('HINCRBY', counts, 'commits', 1)

local puts, version = tonumber(take()), '0'
if puts > 0 then
  version = next_seq('%.0f')
  local bodies, versions = {}, {}
  for i = 1, 2 * puts, 2 do
    local key = take()
    local links = take()
    bodies[i], bodies[i + 1] = key, version .. '|' .. links .. '|' .. take()
    versions[i], versions[i + 1] = key, version
  end
  call('HSET', docs, unpack(bodies))
  call('HSET', ver, unpack(versions))
end

for _ = 1, tonumber(take()) do
  local key = take()
  call('HDEL', docs, key)
  call('HDEL', ver, key)
end

local function drop_due(id)
  call('ZREM', due, id)
  call('HDEL', dueBody, id)
end

for _ = 1, tonumber(take()) do
  local id = take()
  local at = take()
  local stored = call('HGET', dueBody, id)
  if stored and before_bar(stored) == at then drop_due(id) end
end

for _ = 1, tonumber(take()) do drop_due(take()) end

for _ = 1, tonumber(take()) do
  local id = take()
  local at = take()
  call('ZADD', due, at, id)
  call('HSET', dueBody, id, at .. '|' .. take())
end

local sends = tonumber(take())
for _ = 1, sends do
  local chat = take()
  local flags = take()
  local member = chat .. '|' .. next_seq('%016.0f')
  call('ZADD', out, 0, member)
  call('HSET', outBody, member, '0|0|' .. flags .. '|' .. take())
  call('ZADD', chats, 'NX', now, chat)
end

-- A bounded number at a time, and more than one commit adds.
local old = call('ZRANGEBYSCORE', ops, '-inf', '(' .. ARGV[3], 'LIMIT', 0, 32)
if #old > 0 then call('ZREM', ops, unpack(old)) end
call('HDEL', trouble, op)
if sends > 0 then call('HINCRBY', counts, 'queued', sends) end
-- Last: a server that dies while it writes this down may read the beginning of it
-- later on, and what is half done must not count as done.
call('ZADD', ops, now, op)
return version
