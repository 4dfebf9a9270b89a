/* Openings, turnarounds and endings as text. Common practice, no published source; the turnarounds of the first six rows
 * of their kind stand in standard jazz texts. */
#include "frame_rules.h"

#define OPENING    GLN_FRAME_OPENING
#define TURNAROUND GLN_FRAME_TURNAROUND
#define ENDING     GLN_FRAME_ENDING
#define MAJOR_GOAL GLN_FRAME_GOAL_MAJOR
#define HOME       GLN_FRAME_GOAL_HOME
#define BLUES      GLN_FRAME_IN_BLUES
#define SEVENTHS   GLN_FRAME_SEVENTHS
#define NO_BLUES   GLN_FRAME_NOT_IN_BLUES

const GlnFrameRule gln_frame_rules[] = {
    {OPENING, 0, 0.0F, "last-phrase", "@4 | @3 | @2 | >Dm7 >G7", "@4 | @3 | @2 | >Dm7 >G7",
     "The tune's own last phrase, so that the listener knows the song before it begins; {last} opens it into "
     "{goal} "
     "instead of closing it."},
    {OPENING, 0, 0.1F, "one-six-two-five", "Cmaj7 Am7 | Dm7 G7 | Cmaj7 Am7 | >Dm7 >G7",
     "Cm7 Abmaj7 | Dm7b5 G7 | Cm7 Abmaj7 | >Dm7 >G7",
     "Round from home and back twice: the ear has the key before the tune comes in on {goal}."},
    {OPENING, 0, 0.15F, "home-vamp", "Cmaj7 | C6 | Cmaj7 | >G7", "Cm7 | Cm6 | Cm7 | >G7",
     "A vamp on the home chord in two colours, as long as you like; then {last} calls {goal}."},
    {OPENING, 0, 0.15F, "dominant-vamp", ">G7sus4! | >G7 | >G7sus4! | >G7", ">G7sus4! | >G7 | >G7sus4! | >G7",
     "A vamp on the dominant, suspended and released: nothing is home yet, so {goal} arrives when it comes."},
    {OPENING, 0, 0.2F, "dominant-pedal", "Cmaj7/G Dm7/G | Cmaj7/G Dm7/G | Cmaj7/G | >G7",
     "Cm7/G Dm7b5/G | Cm7/G Dm7b5/G | Cm7/G | >G7",
     "The chords move over the dominant's note in the bass; when the bass leaves it, the tune has begun."},
    {OPENING, 0, 0.2F, "three-six-cycle", "Em7 A7 | Dm7 G7 | Em7 A7 | >Dm7 >G7",
     "Em7b5! A7! | Dm7b5 G7 | Em7b5! A7! | >Dm7 >G7",
     "Two ii–Vs, the second a tone below the first: each slips into the next and the last into {goal}."},
    {OPENING, 0, 0.25F, "key-of-the-dominant", ">Gmaj7 >Em7 | >Am7 >D7 | >Gmaj7 | >G7",
     ">Gm7 >Ebmaj7 | >Am7b5 >D7 | >Gm7 | >G7",
     "It stands in the key of the dominant, and is at home there; then that home becomes {last} and slips "
     "into {goal}."},
    {OPENING, SEVENTHS | HOME, 0.3F, "circle-of-fifths", "F#m7b5! B7 | Em7 A7 | Dm7 | >G7",
     "Fm7 Bb7 | Ebmaj7 Abmaj7 | Dm7b5 | >G7",
     "From far off round the circle of fifths: every root falls a fifth, until the next fall is {goal}."},
    {OPENING, NO_BLUES | HOME, 0.3F, "inner-line", "C! Cmaj7! | C7! F! | Fm6! | >G7",
     "Cm! Cm(maj7)! | Cm7! Cm6! | Abmaj7 | >G7",
     "One inner voice steps down by semitones from the home note to the dominant's: a line to follow before "
     "there is a tune."},
    {OPENING, SEVENTHS | HOME, 0.35F, "chromatic-descent", "Em7 Ebdim7 | Dm7 >Db7!", NULL,
     "The bass comes down by semitones from the third of the key, and slides from {last} into {goal}."},
    {OPENING, HOME, 0.3F, "falling-bass", "C! C7/Bb! | Am7 Ab7! | >G7sus4! | >G7",
     "Cm! Cm7/Bb! | Am7b5! Abmaj7 | >G7sus4! | >G7",
     "The bass walks down from the home note to the dominant's and waits there for {goal}."},
    {OPENING, SEVENTHS | HOME, 0.4F, "flat-three-six-two", "Cmaj7 | Ebmaj7! | Abmaj7! | >Dbmaj7!",
     "Cm7 | Ebmaj7 | Abmaj7 | >Dbmaj7!",
     "I–♭III–♭VI–♭II: up a third, then in fourths, all major; {last} lies a semitone above {goal} and sinks "
     "into it."},
    {OPENING, MAJOR_GOAL, 0.35F, "backdoor", "Fmaj7 | Fmaj7 | >Fm7! | >Bb7", NULL,
     "IV turns minor, and its ii–V comes in by the back door: {last} rises a tone into {goal}."},
    {OPENING, MAJOR_GOAL, 0.3F, "borrowed-six-seven", "Ab! Bb! | C | Ab! Bb! | >G7", NULL,
     "♭VI–♭VII, borrowed from minor, climb by whole tones into the home chord: broad strokes before the "
     "tune."},
    {OPENING, 0, 0.35F, "home-pedal", "Cmaj7 | Dm7/C! | G7/C! | >G7", "Cm7 | Dm7b5/C! | G7/C! | >G7",
     "Chords pass over the home note and keep it in the bass: the tension is all above it, and {goal} "
     "dissolves it."},
    {OPENING, SEVENTHS | HOME, 0.45F, "sliding-dominants", "Bb7! | A7! | Ab7! | >G7",
     "Bb7! | A7! | Ab7! | >G7",
     "Dominants a semitone apart: the same grip slides down the neck, and only {last} resolves."},
    {OPENING, BLUES, 0.0F, "blues-last-four", "G7 | F7 | C7 | >G7", "G7! | Fm7 | Cm7 | >G7",
     "The last four bars of a plain blues, with V in the last: players come in on it without being told."},

    {TURNAROUND, 0, 0.0F, "one-six", "Cmaj7 Am7 | >Dm7 >G7", "Cm7 Abmaj7 | >Dm7 >G7",
     "From home round the circle of fifths and back: the plainest way to stay in motion until {goal}."},
    {TURNAROUND, HOME, 0.1F, "one-six-dominant", "Cmaj7 A7 | Dm7 >G7", "Cm7 Am7b5! | D7! >G7",
     "With a stronger second chord: it leads into the third by force, and {last} leads to {goal}."},
    {TURNAROUND, SEVENTHS | HOME, 0.2F, "dominants", "Cmaj7 A7 | D7 >G7", "Cm7 Eb7! | D7! >Db7!",
     "Dominants after the home chord: each wants the next, and {last} wants {goal}."},
    {TURNAROUND, HOME, 0.1F, "three-six", "Em7 A7 | Dm7 >G7", "Ebmaj7 Abmaj7 | Dm7b5 >G7",
     "{first} stands in for home, so that the phrase does not close; fifths lead on to {goal}."},
    {TURNAROUND, HOME, 0.15F, "climbing-diminished", "Cmaj7 C#dim7 | Dm7 >G7", NULL,
     "The bass climbs by semitones from home to ii; the diminished chord between is V7♭9 of ii without its "
     "root."},
    {TURNAROUND, SEVENTHS | HOME, 0.3F, "tritone-away", "Cmaj7 Eb7! | Abmaj7! >Db7!",
     "Cm7 Eb7! | Abmaj7 >Db7!",
     "Every chord after the first a tritone away from the plain one: the roots are new, and {last} slides a "
     "semitone "
     "down into {goal}."},
    {TURNAROUND, HOME, 0.2F, "falling-diminished", "Em7 Ebdim7 | Dm7 >G7", NULL,
     "The bass falls by semitones through a diminished chord from iii to ii."},
    {TURNAROUND, 0, 0.2F, "dominant-pedal", "Cmaj7/G Dm7/G | Cmaj7/G >G7", "Cm7/G Dm7b5/G | Cm7/G >G7",
     "The dominant's note lies in the bass already, and the chords move above it until {last} calls {goal}."},
    {TURNAROUND, MAJOR_GOAL, 0.25F, "backdoor", "Cmaj7 | >Fm7! >Bb7", NULL,
     "Through the back door: the ii–V of ♭III goes on to {goal} instead, a tone up."},
    {TURNAROUND, HOME | MAJOR_GOAL | NO_BLUES, 0.2F, "four-turns-minor", "Cmaj7 C7! | F! Fm6!", NULL,
     "Home becomes the dominant of IV, and IV turns minor: an inner voice falls by semitones into {goal}."},
    {TURNAROUND, SEVENTHS | HOME, 0.35F, "sliding-dominants", "Cmaj7 Eb7! | D7! >Db7!", NULL,
     "Dominants that slide down by semitones, each the tritone partner of the one in its place: one grip, "
     "moved."},
    {TURNAROUND, 0, 0.05F, "suspended", "Cmaj7 | >G7sus4! >G7", "Cm7 | >G7sus4! >G7",
     "Room for the end of the tune: one bar at home, then the dominant with its third held back until the "
     "last beats."},
    {TURNAROUND, 0, 0.1F, "two-five", "Cmaj7 | >Dm7 >G7", "Cm7 | >Dm7 >G7",
     "A bar at home, then the ii–V of {goal}."},
    {TURNAROUND, SEVENTHS, 0.2F, "tritone-substitute", "Cmaj7 | >Dm7 >Db7!", "Cm7 | >Dm7 >Db7!",
     "The dominant a tritone away: the bass walks down by semitones, and {last} slides into {goal}."},
    {TURNAROUND, 0, 0.25F, "common-tone", "C! Cdim7! | C! >G7", NULL,
     "The home chord dims and comes back over the same bass; then {last} leads to {goal}."},
    {TURNAROUND, 0, 0.3F, "home-withheld", "Abmaj7! Fm7! | Dm7b5! >G7", "Abmaj7 Fm7 | Dm7b5 >G7",
     "Where home is expected, ♭VI stands: a deceptive close that falls by thirds to the ii–V of {goal}."},
    {TURNAROUND, HOME, 0.3F, "falling-bass", "C! C7/Bb! | Am7 >Ab7! >G7", "Cm! Cm7/Bb! | Am7b5! >Ab7! >G7",
     "The bass walks down from home to the dominant, by steps and then semitones."},
    {TURNAROUND, HOME, 0.15F, "inner-line", NULL, "Cm! Cm(maj7)! | Cm7! Cm6!",
     "An inner voice steps down from the home note by semitones while the chord stays, and {goal} begins it "
     "again."},
    {TURNAROUND, 0, 0.25F, "flat-two", NULL, "Cm7 | Dbmaj7! >G7",
     "♭II stands where ii would: more shadow, and then {last} leads to {goal}."},
    {TURNAROUND, BLUES, 0.0F, "blues-walk", "C7! C7/E! F7! F#dim7! | C7/G! >G7", "Cm7! Fm7! | Cm7! >G7",
     "As in the blues: the bass climbs from home through IV and its raised root to the fifth, and {last} "
     "goes round "
     "again."},

    {ENDING, 0, 0.05F, "tag", "Em7 A7 | Dm7 G7 | C6/9", "Ebmaj7 Abmaj7 | Dm7b5 G7 | Cm6",
     "A tag: {first} comes in place of rest and sends the last words round once more to {last}."},
    {ENDING, 0, 0.15F, "double-tag", "Em7 A7 | Dm7 G7 | Em7 A7 | Dm7 G7 | C6/9",
     "Ebmaj7 Abmaj7 | Dm7b5 G7 | Ebmaj7 Abmaj7 | Dm7b5 G7 | Cm6",
     "The tag twice: the last phrase three times in all, and the third time it ends."},
    {ENDING, 0, 0.15F, "deceptive-then-final", "Dm7 G7 | Am7 | Dm7 G7 | C6/9",
     "Dm7b5 G7 | Abmaj7 | Dm7b5 G7 | Cm6",
     "The first close is a deception, and the same ii–V again keeps the promise."},
    {ENDING, 0, 0.1F, "amen", "F! | C!", "Fm! | Cm!",
     "IV and home, as in an amen: no leading note, so it ends without pushing."},
    {ENDING, 0, 0.1F, "minor-four", "F! Fm6! | Cmaj7", NULL,
     "IV darkens on its last beats and sinks by a semitone into {last}."},
    {ENDING, 0, 0.2F, "backdoor", "Fm7! Bb7 | Cmaj7", "Fm7 Bb7 | Cm6",
     "Home by the back door: ♭VII7 rises a tone into {last}, and no leading note is heard."},
    {ENDING, SEVENTHS, 0.25F, "semitone-above", "(Cmaj7) Dbmaj7! | Cmaj7", "(Cm7) Dbmaj7! | Cm6",
     "The final chord's neighbour a semitone above leans on it and slides down."},
    {ENDING, SEVENTHS, 0.3F, "flat-three-six-two", "(Cmaj7) Ebmaj7! | Abmaj7! Dbmaj7! | Cmaj7",
     "(Cm7) Ebmaj7! | Abmaj7! Dbmaj7! | Cm6",
     "♭III–♭VI–♭II–I: major sevenths in fourths, which sink into {last} from a semitone above."},
    {ENDING, SEVENTHS, 0.3F, "chromatic-descent", "F#m7b5! Fm6! | Em7 Ebdim7 | Dm7 Db7! | C6/9", NULL,
     "The bass comes down by semitones from the tritone, with a chord on every note of it, until there is "
     "nothing below but home."},
    {ENDING, 0, 0.2F, "dominant-pedal", "Cmaj7/G Dm7/G | G7sus4! G7 | C6/9",
     "Cm7/G Dm7b5/G | G7sus4! G7 | Cm6",
     "The dominant's note lies in the bass under everything; when it falls at last, it falls home."},
    {ENDING, 0, 0.2F, "climb", "C/E! F! | F#m7b5! G7 | C6/9", "Cm/Eb! Fm! | F#dim7! G7 | Cm6",
     "The bass climbs to the dominant, the last steps by semitones, and falls home from there."},
    {ENDING, 0, 0.2F, "borrowed-six-seven", "Ab! Bb! | C!", "Ab! Bb! | C!",
     "♭VI–♭VII climb by whole tones to a plain major chord: it lifts at the last moment."},
    {ENDING, SEVENTHS, 0.2F, "tritone-substitute", "Dm7 Db7! | Cmaj7", "Dm7b5 Db7! | Cm6",
     "The last dominant is a tritone away: the bass walks down by semitones into {last}."},
    {ENDING, 0, 0.15F, "slowing-vamp", "Fmaj7 | Cmaj7 | Fmaj7 | C6/9", "Fm7 | Cm7 | Fm7 | Cm6",
     "IV and home in turn, slower or softer each time: stop when nobody is waiting any more."},
    {ENDING, SEVENTHS, 0.2F, "final-six-nine", "Dm7 G7 | C6/9!", "Dm7b5 G7 | Cm6/9!",
     "A full close on {last}: sixth and ninth, no leading note in it, all rest."},
    {ENDING, SEVENTHS, 0.2F, "final-major-seventh", "Dm7 G7 | Cmaj9!", "Dm7b5 G7 | Cm(maj7)!",
     "A full close on {last}: its major seventh keeps shining after the hand is still."},
    {ENDING, SEVENTHS, 0.4F, "final-thirteenth", "Dm7 G7 | C13!", NULL,
     "A close on {last}: home with the seventh of the blues, which need not go anywhere."},
    {ENDING, SEVENTHS, 0.4F, "final-sharp-eleventh", "Dm7 Db7! | Cmaj7#11!", NULL,
     "A close on {last}: the raised fourth lets light in, and the piece ends on a question."},
    {ENDING, SEVENTHS, 0.35F, "final-over-the-fifth", "Dm7/G G7 | C6/9/G!", NULL,
     "A close on {last}, the final chord over its fifth: at rest and not quite landed."},
    {ENDING, 0, 0.25F, "major-at-last", NULL, "Dm7b5 G7 | C!",
     "A minor tune that ends on the major chord: one note, the third, goes up a semitone."},
    {ENDING, BLUES, 0.0F, "blues-walk", "C7/E! F7! F#dim7! C7/G! | Db9! C9!", "Cm7! Fm7! F#dim7! G7! | Cm7!",
     "The blues ending: the bass climbs to the fifth, and the final chord is struck after its neighbour a "
     "semitone "
     "above."},
};
const size_t gln_frame_rule_count = GLN_COUNT_OF(gln_frame_rules);

/* Plain, among triads, in the blues where it stands on I or IV, with ninths. */
const GlnDress gln_dresses[] = {
    {"maj7", "", "7", {"maj9", NULL, NULL}},  {"", "", "7", {"", NULL, NULL}},
    {"6", "sus2", "13", {"6/9", NULL, NULL}}, {"6/9", "", "13", {"6/9", NULL, NULL}},
    {"m7", "m", "m7", {"m9", NULL, NULL}},    {"m6", "m", "m6", {"m6", NULL, NULL}},
    {"7", "7", "7", {"13", "7b9", NULL}},
};
const size_t gln_dress_count = GLN_COUNT_OF(gln_dresses);
