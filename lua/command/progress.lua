--- How far long work is, on standard error, and Ctrl-C, which stops it.
local M = {}

M.INTERRUPTED = 130 -- exit code, after what was done has been said

local QUIET_S, EVERY_S = 3, 2 -- before the first word, and between two

--- @param noun what is counted: "cases"
--- @return a function (done, all) that says how far it is and is false when the work is to stop;
--- a function that tells whether it is
function M.of(io, noun)
  local interrupt = require "strapline.interrupt"
  interrupt.watch()
  local next_at = os.time() + QUIET_S
  return function(done, all)
    local now = os.time()
    if now >= next_at and done < all then
      next_at = now + EVERY_S
      io.remark(("%d of %d %s, %d %%"):format(done, all, noun, 100 * done // all))
    end
    return not interrupt.asked()
  end, interrupt.asked
end

return M
