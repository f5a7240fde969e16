--- strapline words: reference pages.
return {
  name = "words",
  arguments = "[KIND | lua]",
  needs = {},
  may = { "KIND" },
  about = "Lists the words of circuit files, the units, the forms of faults and the tools; with a "
    .. "KIND,\neverything there is to know of that kind of part; with lua, what can be asked from Lua.",
  options = {},
  examples = { "strapline words", "strapline words starter", "strapline words lua" },
  run = function(values, io)
    local page, wrong = require("strapline.pages").page(values[1])
    if not page then return io.misuse(wrong) end
    return io.write(page)
  end,
}
