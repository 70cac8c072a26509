# Writes the scripts of this release as C: cmake -DOUT=FILE.c -DROOT=DIR -P embed.cmake. What a program
# knows of its own scripts, so that one that was changed where it is installed shows.
file(GLOB files RELATIVE ${ROOT} ${ROOT}/checks/*.lua ${ROOT}/criteria/*.lua ${ROOT}/practice/*.lua)
list(SORT files)
set(texts "")
set(rows "")
set(n 0)
foreach(file ${files})
  file(READ ${ROOT}/${file} hex HEX)
  string(REGEX REPLACE "(................................)" "\\1\n" hex "${hex}")
  string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," hex "${hex}")
  string(APPEND texts "static const unsigned char text_${n}[] = {\n${hex}0};\n")
  string(APPEND rows "    {\"scripts/${file}\", text_${n}, sizeof text_${n} - 1},\n")
  math(EXPR n "${n} + 1")
endforeach()
file(WRITE ${OUT} "/* Made by core/cmake/embed.cmake. */\n#include \"run/release.h\"\n\n${texts}\n"
  "const release_file release_files[] = {\n${rows}};\nconst size_t release_files_n = ${n};\n")
