local find = string.find -- no method: while a circuit file runs texts have few

--- A noun with its article: "a fuse", "an alternator".
return function(noun)
  return (find(noun, "^[aeiou]") and "an " or "a ") .. noun
end
