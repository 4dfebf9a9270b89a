# cmake --install: the program, its man page and the completions, which the program itself prints from its table.

set(printed "${PROJECT_BINARY_DIR}/printed")
file(MAKE_DIRECTORY "${printed}")
set(outputs "")

# gripline_printed(NAME FOLDER OPTION...): what gripline prints for these options becomes FOLDER/NAME.
function(gripline_printed name folder)
  add_custom_command(OUTPUT "${printed}/${name}"
    COMMAND gripline ${ARGN} > "${printed}/${name}" DEPENDS gripline VERBATIM)
  list(APPEND outputs "${printed}/${name}")
  set(outputs "${outputs}" PARENT_SCOPE)
  install(FILES "${printed}/${name}" DESTINATION "${folder}")
endfunction()

gripline_printed(gripline.1 "${CMAKE_INSTALL_MANDIR}/man1" --man)
gripline_printed(gripline "${CMAKE_INSTALL_DATADIR}/bash-completion/completions" --completion bash)
gripline_printed(_gripline "${CMAKE_INSTALL_DATADIR}/zsh/site-functions" --completion zsh)
gripline_printed(gripline.fish "${CMAKE_INSTALL_DATADIR}/fish/vendor_completions.d" --completion fish)
add_custom_target(printed ALL DEPENDS ${outputs})
install(TARGETS gripline RUNTIME DESTINATION "${CMAKE_INSTALL_BINDIR}")
