/* The built-in fonts, as they are in assets/fonts. */
    .section .rodata
    .macro font name, file
    .global \name
    .global \name\()_end
    .balign 16
\name:
    .incbin "\file"
\name\()_end:
    .byte 0
    .endm

    font gln_font_text, "../../assets/fonts/DejaVuSans.ttf"
    font gln_font_bold, "../../assets/fonts/DejaVuSans-Bold.ttf"
    font gln_font_music, "../../assets/fonts/Bravura.otf"

    .section .note.GNU-stack, "", %progbits
