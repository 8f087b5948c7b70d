# Sets `result` to a header and all that it includes, and they in turn, by their files.
#   folder  where "sweepflux/..." and "render/..." of the include lines start
#   header  that of the first one, from there
#   part    the first folder of the names that count: what another library installs is its business
function(sweepflux_reached_headers result folder header part)
  set(waiting ${header})
  set(reached)
  while(waiting)
    list(POP_FRONT waiting name)
    list(APPEND reached ${folder}/${name})
    set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${folder}/${name})
    file(STRINGS ${folder}/${name} lines REGEX "^#include \"${part}/")
    foreach(line ${lines})
      string(REGEX REPLACE "^#include \"(.*)\".*$" "\\1" next ${line})
      if(NOT ${folder}/${next} IN_LIST reached AND NOT next IN_LIST waiting)
        list(APPEND waiting ${next})
      endif()
    endforeach()
  endwhile()
  set(${result} ${reached} PARENT_SCOPE)
endfunction()
