# Several sources of a folder are compiled as one unit: parsing headers is most of a cold build.
option(SWEEPFLUX_MERGE_UNITS "Compile the sources of a folder together" ON)

# Text that is read, written or drawn takes no time worth a slow build; numbers do.
set(sweepflux_quick_build $<$<CONFIG:Release>:-O1>)

# Whatever is built quickly shares one precompiled header, and so has to share definitions. toml++ is
# compiled in (capture/document/toml_implementation.cpp): its shared library would have to be at hand
# wherever this one is linked.
set(sweepflux_definitions SWEEPFLUX_VERSION="${PROJECT_VERSION}" TOML_HEADER_ONLY=0)

# Precompiled in every part: what most sources include.
set(sweepflux_common_headers <algorithm> <array> <cmath> <cstddef> <filesystem> <functional> <map>
  <memory> <numbers> <optional> <span> <string> <string_view> <utility> <vector>)

# Adds every source of a folder to a target, as many of them to a unit as stated; a fourth word says
# by a regular expression which. A main.cpp is a program's own.
function(sweepflux_merge_units target folder sources_per_unit)
  file(GLOB sources CONFIGURE_DEPENDS ${folder}/*.cpp)
  list(FILTER sources EXCLUDE REGEX "main\\.cpp$")
  if(ARGC GREATER 3)
    list(FILTER sources INCLUDE REGEX "${ARGV3}")
  endif()
  target_sources(${target} PRIVATE ${sources})
  string(MAKE_C_IDENTIFIER ${target}_${folder} name)
  set(number 0)
  foreach(source ${sources})
    math(EXPR unit "${number} / ${sources_per_unit}")
    if(source MATCHES "_implementation\\.cpp$")  # the body of a header that others include without
      set_source_files_properties(${source} PROPERTIES SKIP_UNITY_BUILD_INCLUSION ON)
      continue()
    endif()
    set_source_files_properties(${source} PROPERTIES UNITY_GROUP ${name}_${unit})
    math(EXPR number "${number} + 1")
  endforeach()
  set_target_properties(${target} PROPERTIES
    UNITY_BUILD ${SWEEPFLUX_MERGE_UNITS} UNITY_BUILD_MODE GROUP)
endfunction()
