# cmake -D OUT=FILE.c -D FILES="a.lua;b.lua" -P embed.cmake
# Writes Lua files, named relative to this folder, into one C file in the shape of
# command/modules.h, each under the name that `require` knows it by.
set(texts "")
set(rows "")
set(index 0)
foreach(file IN LISTS FILES)
  file(READ ${CMAKE_CURRENT_LIST_DIR}/${file} text)
  string(REPLACE "\\" "\\\\" text "${text}")
  string(REPLACE "\"" "\\\"" text "${text}")
  string(REPLACE "?" "\\?" text "${text}") # no trigraphs
  string(REPLACE "\n" "\\n\"\n    \"" text "${text}")

  string(REGEX REPLACE "\\.lua$" "" name ${file})
  string(REGEX REPLACE "^command/" "strapline/command/" name ${name})
  string(REGEX REPLACE "/init$" "" name ${name})
  string(REPLACE "/" "." name ${name})

  string(APPEND texts "/* ${file} */\nstatic const char text_${index}[] =\n    \"${text}\";\n\n")
  string(APPEND rows "    {\"${name}\", text_${index}, sizeof text_${index} - 1},\n")
  math(EXPR index "${index} + 1")
endforeach()
file(WRITE ${OUT} "#include \"command/modules.h\"\n\n${texts}const sl_module sl_modules[] = {\n${rows}};\n")
file(APPEND ${OUT} "const size_t sl_module_count = ${index};\n")
