/* The feels that come with gripline: X(name of its symbol, file). Read by feel_book.c and feel_files.S, so nothing
 * but preprocessor lines may stand here. In the order in which they are listed to people. */
#define GLN_FEEL_FILE_LIST(X)                                                                                \
  X(gln_feel_bossa, "../../data/feels/bossa.feel")                                                           \
  X(gln_feel_bossa_light, "../../data/feels/bossa-light.feel")                                               \
  X(gln_feel_bossa_ahead, "../../data/feels/bossa-ahead.feel")                                               \
  X(gln_feel_samba, "../../data/feels/samba.feel")                                                           \
  X(gln_feel_samba_4_4, "../../data/feels/samba-4-4.feel")                                                   \
  X(gln_feel_son_clave, "../../data/feels/son-clave.feel")                                                   \
  X(gln_feel_bolero, "../../data/feels/bolero.feel")                                                         \
  X(gln_feel_swing, "../../data/feels/swing.feel")                                                           \
  X(gln_feel_swing_four, "../../data/feels/swing-four.feel")                                                 \
  X(gln_feel_charleston, "../../data/feels/charleston.feel")                                                 \
  X(gln_feel_waltz, "../../data/feels/waltz.feel")                                                           \
  X(gln_feel_jazz_waltz, "../../data/feels/jazz-waltz.feel")                                                 \
  X(gln_feel_ballad, "../../data/feels/ballad.feel")                                                         \
  X(gln_feel_ballad_3_4, "../../data/feels/ballad-3-4.feel")                                                 \
  X(gln_feel_eighths, "../../data/feels/eighths.feel")                                                       \
  X(gln_feel_strum, "../../data/feels/strum.feel")                                                           \
  X(gln_feel_arpeggio, "../../data/feels/arpeggio.feel")                                                     \
  X(gln_feel_arpeggio_3_4, "../../data/feels/arpeggio-3-4.feel")                                             \
  X(gln_feel_arpeggio_6_8, "../../data/feels/arpeggio-6-8.feel")                                             \
  X(gln_feel_arpeggio_12_8, "../../data/feels/arpeggio-12-8.feel")                                           \
  X(gln_feel_twelve_eight, "../../data/feels/twelve-eight.feel")                                             \
  X(gln_feel_held, "../../data/feels/held.feel")                                                             \
  X(gln_feel_straight_4_4, "../../data/feels/straight-4-4.feel")                                             \
  X(gln_feel_straight_2_2, "../../data/feels/straight-2-2.feel")                                             \
  X(gln_feel_straight_3_4, "../../data/feels/straight-3-4.feel")                                             \
  X(gln_feel_straight_2_4, "../../data/feels/straight-2-4.feel")                                             \
  X(gln_feel_straight_5_4, "../../data/feels/straight-5-4.feel")                                             \
  X(gln_feel_straight_6_4, "../../data/feels/straight-6-4.feel")                                             \
  X(gln_feel_straight_7_4, "../../data/feels/straight-7-4.feel")                                             \
  X(gln_feel_straight_3_8, "../../data/feels/straight-3-8.feel")                                             \
  X(gln_feel_straight_6_8, "../../data/feels/straight-6-8.feel")                                             \
  X(gln_feel_straight_7_8, "../../data/feels/straight-7-8.feel")                                             \
  X(gln_feel_straight_9_8, "../../data/feels/straight-9-8.feel")                                             \
  X(gln_feel_straight_12_8, "../../data/feels/straight-12-8.feel")
