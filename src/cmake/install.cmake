# `cmake --install`: libraries, public headers, what find_package needs, program, manual page and completion.
include(GNUInstallDirs)
include(CMakePackageConfigHelpers)

set(config_folder ${CMAKE_INSTALL_LIBDIR}/cmake/sweepflux)

install(TARGETS sweepflux EXPORT sweepflux_targets FILE_SET HEADERS)
install(EXPORT sweepflux_targets NAMESPACE sweepflux:: FILE sweepflux-targets.cmake
  DESTINATION ${config_folder})

if(TARGET sweepflux_render)
  # Headers say `render/...`: in a folder of their own, so that they claim no common name.
  install(TARGETS sweepflux_render EXPORT sweepflux_render_targets
    FILE_SET HEADERS DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/sweepflux-render)
  install(EXPORT sweepflux_render_targets NAMESPACE sweepflux:: FILE sweepflux-render-targets.cmake
    DESTINATION ${config_folder})
endif()

configure_package_config_file(${CMAKE_CURRENT_LIST_DIR}/sweepflux-config.cmake.in
  ${PROJECT_BINARY_DIR}/sweepflux-config.cmake INSTALL_DESTINATION ${config_folder}
  NO_SET_AND_CHECK_MACRO)
# Before 1.0 any minor version may change a header.
write_basic_package_version_file(${PROJECT_BINARY_DIR}/sweepflux-config-version.cmake
  COMPATIBILITY SameMinorVersion)
install(FILES
  ${PROJECT_BINARY_DIR}/sweepflux-config.cmake
  ${PROJECT_BINARY_DIR}/sweepflux-config-version.cmake
  DESTINATION ${config_folder})

if(SWEEPFLUX_TOOL)
  install(TARGETS sweepflux_tool)
endif()
