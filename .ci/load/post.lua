-- Posts one body after another, each with a name of its own where the body has the
-- word NAME, and with a key of its own where a key is given. The arguments are the body, the key
-- (empty for none) and the number of threads.

local threads = 0

function setup(thread)
  thread:set("number", threads)
  threads = threads + 1
end

function init(arguments)
  body, key, step = arguments[1], arguments[2], tonumber(arguments[3])
  count = 0
  headers = { ["Content-Type"] = "application/json" }
end

function request()
  local n = count * step + number
  count = count + 1
  if key ~= "" then
    headers["Idempotency-Key"] = key .. "-" .. n
  end
  return wrk.format("POST", nil, headers, (body:gsub("NAME", n, 1)))
end

function done(summary, latency)
  local e = summary.errors
  print(string.format("measured %d %d %d %d %d", summary.requests, e.status, e.connect + e.read + e.write + e.timeout,
    summary.duration, latency:percentile(99)))
end
