# One static library per room, linked to what its line in LAYERS declares and to nothing else.

# Where the opened rooms lie: below the folder that holds bin/, and in the build folder.
set(GRIPLINE_ROOMS_FOLDER "${CMAKE_INSTALL_LIBDIR}/gripline")

# Splits a line of LAYERS into room, rooms and foreign (lists) and opened (yes or empty) in the caller's scope.
function(gripline_layer line)
  string(REGEX REPLACE "[ \t]+" ";" columns "${line}")
  list(GET columns 1 room)
  list(GET columns 2 rooms)
  list(GET columns 3 foreign)
  set(opened "")
  if("opened" IN_LIST columns)
    set(opened yes)
  endif()
  set(opened "${opened}" PARENT_SCOPE)
  foreach(name rooms foreign)
    if("${${name}}" STREQUAL "-")
      set(${name} "")
    endif()
    string(REPLACE "," ";" ${name} "${${name}}")
    set(${name} "${${name}}" PARENT_SCOPE)
  endforeach()
  set(room "${room}" PARENT_SCOPE)
endfunction()

# Include folders of the declared rooms alone: an undeclared room's header is not found at all.
function(gripline_room line)
  gripline_layer("${line}")
  set(folder "${PROJECT_SOURCE_DIR}/src/${room}")
  file(GLOB sources CONFIGURE_DEPENDS "${folder}/*.c" "${folder}/*.S")
  if(NOT sources)
    return()
  endif()
  if(room STREQUAL "cli")
    add_executable(gripline ${sources})
    target_link_options(gripline PRIVATE ${gripline_link_whole})
    set(target gripline)
  else()
    add_library(gln_${room} STATIC ${sources})
    set(target gln_${room})
  endif()
  target_include_directories(${target} PUBLIC "${folder}")
  target_compile_options(${target} PRIVATE ${gripline_compile_whole})
  # What a .S file takes in with .incbin: the compiler does not see that it depends on it.
  file(GLOB_RECURSE embedded CONFIGURE_DEPENDS "${PROJECT_SOURCE_DIR}/data/*" "${PROJECT_SOURCE_DIR}/assets/*")
  file(GLOB assembly CONFIGURE_DEPENDS "${folder}/*.S")
  set_source_files_properties(${assembly} PROPERTIES OBJECT_DEPENDS "${embedded}")
  target_compile_definitions(${target} PRIVATE GRIPLINE_SOURCE_DIR="${PROJECT_SOURCE_DIR}"
    GRIPLINE_ROOMS_FOLDER="${GRIPLINE_ROOMS_FOLDER}")
  foreach(used IN LISTS rooms)
    if(TARGET gripline_${used}) # opened when it is needed: those above see its header alone
      target_include_directories(${target} PUBLIC "${PROJECT_SOURCE_DIR}/src/${used}")
      add_dependencies(${target} gripline_${used})
    elseif(TARGET gln_${used})
      target_link_libraries(${target} PUBLIC gln_${used})
    else() # a room of headers alone
      target_include_directories(${target} PUBLIC "${PROJECT_SOURCE_DIR}/src/${used}")
    endif()
  endforeach()
  target_link_libraries(${target} PUBLIC m)
  foreach(package IN LISTS foreign)
    pkg_check_modules(${package} REQUIRED IMPORTED_TARGET ${package})
    target_link_libraries(${target} PRIVATE PkgConfig::${package})
  endforeach()
  target_link_libraries(${target} PRIVATE ${CMAKE_DL_LIBS})
  if(opened)
    gripline_opened_room(${room})
  endif()
endfunction()

# The room as a shared object with copies of the rooms below it: they keep no state, so a second copy does no harm.
function(gripline_opened_room room)
  add_library(gripline_${room} MODULE "$<TARGET_OBJECTS:gln_${room}>")
  set_target_properties(gripline_${room} PROPERTIES PREFIX "" OUTPUT_NAME ${room} LINKER_LANGUAGE C
    LIBRARY_OUTPUT_DIRECTORY "${CMAKE_BINARY_DIR}/${GRIPLINE_ROOMS_FOLDER}")
  target_link_libraries(gripline_${room} PRIVATE "$<TARGET_PROPERTY:gln_${room},LINK_LIBRARIES>")
  target_link_options(gripline_${room} PRIVATE ${gripline_link_whole} -Wl,--as-needed)
  install(TARGETS gripline_${room} LIBRARY DESTINATION "${GRIPLINE_ROOMS_FOLDER}")
endfunction()

# tests/ROOM/test_*.c, one cmocka program each.
function(gripline_room_tests line)
  gripline_layer("${line}")
  file(GLOB tests CONFIGURE_DEPENDS "${PROJECT_SOURCE_DIR}/tests/${room}/test_*.c")
  foreach(source IN LISTS tests)
    get_filename_component(name "${source}" NAME_WE)
    gripline_test("${room}.${name}" "${source}" ${room})
    foreach(package IN LISTS foreign)
      target_link_libraries(${room}.${name} PRIVATE PkgConfig::${package})
    endforeach()
  endforeach()
endfunction()

# Searches that valgrind would slow to minutes; ASan and UBSan watch them in their own build.
set(slow_under_valgrind app.test_line_wishes app.test_play app.test_round_trip audio.test_loudness audio.test_pitch audio.test_render
  grip.test_fingering grip.test_name_grips grip.test_search grip.test_tunings harmony.test_fewer_chords
  harmony.test_frames interchange.test_musicxml_write outside.midi_chords outside.progressions page.test_curve
  page.test_layout page.test_output page.test_plan_sheet record.test_store route.test_budget route.test_line
  route.test_monotone route.test_readings route.test_taste route.test_textbook route.test_trellis
  route.test_wishes song.test_faults study.test_plan theory.test_identity)

# gripline_test(NAME SOURCE ROOM...): a cmocka program linked to the rooms, run from the source folder.
function(gripline_test name source)
  pkg_check_modules(cmocka REQUIRED IMPORTED_TARGET cmocka)
  add_executable(${name} "${source}")
  target_link_options(${name} PRIVATE ${gripline_link_plain})
  foreach(used IN LISTS ARGN)
    if(TARGET gln_${used})
      target_link_libraries(${name} PRIVATE gln_${used})
    endif()
  endforeach()
  target_link_libraries(${name} PRIVATE PkgConfig::cmocka m)
  target_include_directories(${name} PRIVATE "${PROJECT_SOURCE_DIR}/tests")
  set_target_properties(${name} PROPERTIES RUNTIME_OUTPUT_DIRECTORY "${CMAKE_BINARY_DIR}/tests")
  add_test(NAME ${name} COMMAND ${name} WORKING_DIRECTORY "${PROJECT_SOURCE_DIR}")
  set_tests_properties(${name} PROPERTIES TIMEOUT 300
    ENVIRONMENT "LSAN_OPTIONS=suppressions=${PROJECT_SOURCE_DIR}/tests/fontconfig.lsan:print_suppressions=0")
  if(name IN_LIST slow_under_valgrind) # the long ones begin first, so that no core waits for the last of them
    set_tests_properties(${name} PROPERTIES COST 10)
  elseif(GRIPLINE_LINT)
    find_program(VALGRIND valgrind REQUIRED)
    add_test(NAME valgrind.${name} COMMAND "${VALGRIND}" --quiet --error-exitcode=9 --leak-check=full --errors-for-leak-kinds=definite
      "--suppressions=${PROJECT_SOURCE_DIR}/tests/fontconfig.valgrind" "$<TARGET_FILE:${name}>"
      WORKING_DIRECTORY "${PROJECT_SOURCE_DIR}")
    set_tests_properties(valgrind.${name} PROPERTIES TIMEOUT 600)
  endif()
endfunction()
