--- What CSV and JSON have in common of paths: ways beside a step, and those that lost their share.
local json = require "strapline.json"

local M = {}

--- The node at which a way leaves the one of a step, or comes back to it.
local function node_of(step)
  return step.side == "feed" and step.to or step.from
end

--- A way beside a step as cells: stretch, from, to, part, path, use, open, current, drop, good drop,
--- share, current in the good circuit. A way has one end there; the other is not told.
function M.beside_cells(step, way)
  local feed, node = step.side == "feed", node_of(step)
  return { "beside", not feed and node or nil, feed and node or nil, way.part, way.element, way.use,
    false, way.current, nil, nil, way.share, way.good_current }
end

--- The same of a way that has lost its share.
function M.lost_cells(way)
  return { "lost its share", way.node, nil, way.part, way.element, way.use, nil, way.current, nil, nil,
    nil, way.good_current }
end

function M.json_beside(list)
  local ways = {}
  for index, way in ipairs(list) do
    ways[index] = json.object {
      { "part", way.part }, { "path", json.maybe(way.element) }, { "use", way.use },
      { "current", way.current }, { "share", way.share },
      { "good_current", json.maybe(way.good_current) },
    }
  end
  return json.list(ways)
end

function M.json_lost(list)
  local ways = {}
  for index, way in ipairs(list) do
    ways[index] = json.object {
      { "node", way.node }, { "part", way.part }, { "path", json.maybe(way.element) },
      { "use", way.use }, { "current", way.current }, { "good_current", way.good_current },
    }
  end
  return json.list(ways)
end

--- What chatters, and how it stands at this end.
function M.json_states(states)
  local list = {}
  for index, entry in ipairs(states) do
    list[index] = json.object { { "part", entry.part }, { "state", entry.state } }
  end
  return json.list(list)
end

return M
