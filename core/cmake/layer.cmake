# wa_layer(NAME [USES layer...]) - one layer of the core: every .c file of core/NAME becomes an
# object library wa_NAME. Its private headers are seen by the layers to its right only, because
# the include path follows USES. tests/layers proves the direction again on the sources.
function(wa_layer name)
  cmake_parse_arguments(ARG "" "" "USES;LINKS" ${ARGN})
  file(GLOB sources CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/core/${name}/*.c)
  add_library(wa_${name} OBJECT ${sources})
  target_include_directories(wa_${name} PUBLIC ${PROJECT_SOURCE_DIR}/include
                                               ${PROJECT_SOURCE_DIR}/core)
  target_link_libraries(wa_${name} PRIVATE ${ARG_LINKS})
  set_property(GLOBAL APPEND PROPERTY WA_LAYERS wa_${name})
  foreach(link ${ARG_LINKS})
    set_property(GLOBAL APPEND PROPERTY WA_LINKS ${link})
  endforeach()
endfunction()
