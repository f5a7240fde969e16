--- What the fuse of an instrument does with the current through it, by the published points.
local core = require "strapline".core
local format = require "strapline.format"

local M = {}

--- What it does of more than it is rated for; nil where that is not so.
--- @return text, whether it surely opens
function M.does(current, rating)
  local load = math.abs(current or 0) / rating
  if load <= 1 then return nil, false end
  local band = core.fuse_band(load)
  return band and band.does or "holds for 100 h", band ~= nil and band.most ~= nil
end

--- "its fuse of 10 A opens in 0.25 to 600 s"; nil where it has no more than it is rated for.
function M.text(current, rating)
  local does = M.does(current, rating)
  return does and ("its fuse of %s %s"):format(format.limit(rating, "current", "A"), does)
end

--- The same, with what an opened fuse makes of the figure beside it.
function M.remark(current, rating)
  local does, opens = M.does(current, rating)
  if not does then return nil end
  return M.text(current, rating) .. (opens and ": this is the current before it does" or "")
end

return M
