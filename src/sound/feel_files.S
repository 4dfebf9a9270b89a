/* The files of data/feels/, byte for byte. */
#include "feel_files.h"

#define FEEL(symbol, file) .global symbol; symbol: .incbin file; .global symbol##_end; symbol##_end: .byte 0;

.section .rodata
GLN_FEEL_FILE_LIST(FEEL)

.section .note.GNU-stack, "", %progbits
