# `cpack` in the build folder: one .deb with program, libraries, headers, manual page and completion.
set(doc_folder ${CMAKE_INSTALL_DATAROOTDIR}/doc/sweepflux)

# Our licence, then those of the libraries whose code is inside, as this machine's packages state
# them. Debian wants all of it in one file.
file(READ ${PROJECT_SOURCE_DIR}/LICENSE licence)
set(copyright "sweepflux\n\n${licence}")
foreach(library libeigen3-dev libboost-math1.74-dev libnanoflann-dev libtomlplusplus-dev nlohmann-json3-dev libcli11-dev)
  set(notice /usr/share/doc/${library}/copyright)
  if(EXISTS ${notice})
    file(READ ${notice} text)
    string(APPEND copyright "\n\n---- Code of ${library} is compiled in, under these terms:\n\n${text}")
  endif()
endforeach()
file(WRITE ${PROJECT_BINARY_DIR}/manual/copyright "${copyright}")
install(FILES ${PROJECT_BINARY_DIR}/manual/copyright DESTINATION ${doc_folder})
install(FILES ${PROJECT_SOURCE_DIR}/README.md DESTINATION ${doc_folder})

if(SWEEPFLUX_TOOL)
  install(FILES ${PROJECT_BINARY_DIR}/manual/sweepflux.1.gz
    DESTINATION ${CMAKE_INSTALL_MANDIR}/man1)
  install(FILES ${PROJECT_BINARY_DIR}/manual/sweepflux
    DESTINATION ${CMAKE_INSTALL_DATAROOTDIR}/bash-completion/completions)
endif()

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME sweepflux)
set(CPACK_PACKAGE_VENDOR "The sweepflux authors")
set(CPACK_PACKAGE_CONTACT "The sweepflux authors <sweepflux@localhost>")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_STRIP_FILES ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
if(SWEEPFLUX_NATIVE)
  # To be given to others, a package is built with SWEEPFLUX_NATIVE=OFF.
  set(CPACK_DEBIAN_FILE_NAME sweepflux_${PROJECT_VERSION}_this-kind-of-machine-only.deb)
endif()
set(CPACK_DEBIAN_PACKAGE_SECTION science)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON)
# Pictures name their font; shlibdeps cannot know it.
set(CPACK_DEBIAN_PACKAGE_DEPENDS fonts-dejavu-core)
set(CPACK_DEBIAN_PACKAGE_SUGGESTS "g++, cmake")
set(CPACK_DEBIAN_PACKAGE_DESCRIPTION
"Makes plane maps, volume flow, momentum flux and their uncertainty from sweeps of
wind speed against swivel angle, checks them against a balance, plans sweeps
and compares fans. Holds the program, the C++ library and the drawing library.")
include(CPack)
