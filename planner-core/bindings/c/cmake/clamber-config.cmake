# find_package(clamber CONFIG): the targets clamber::clamber (shared) and clamber::static.
# It stands in <prefix>/lib/cmake/clamber, beside <prefix>/include/clamber and <prefix>/lib.
get_filename_component(_clamber_prefix "${CMAKE_CURRENT_LIST_DIR}/../../.." ABSOLUTE)
find_package(Threads REQUIRED)
if(NOT TARGET clamber::clamber)
  add_library(clamber::clamber SHARED IMPORTED)
  set_target_properties(clamber::clamber PROPERTIES
    IMPORTED_LOCATION "${_clamber_prefix}/lib/${CMAKE_SHARED_LIBRARY_PREFIX}clamber${CMAKE_SHARED_LIBRARY_SUFFIX}"
    IMPORTED_NO_SONAME TRUE
    INTERFACE_INCLUDE_DIRECTORIES "${_clamber_prefix}/include")
  add_library(clamber::static STATIC IMPORTED)
  set_target_properties(clamber::static PROPERTIES
    IMPORTED_LOCATION "${_clamber_prefix}/lib/${CMAKE_STATIC_LIBRARY_PREFIX}clamber${CMAKE_STATIC_LIBRARY_SUFFIX}"
    INTERFACE_LINK_LIBRARIES "Threads::Threads;${CMAKE_DL_LIBS};m"
    INTERFACE_INCLUDE_DIRECTORIES "${_clamber_prefix}/include")
endif()
unset(_clamber_prefix)
