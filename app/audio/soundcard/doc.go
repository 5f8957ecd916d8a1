// Package soundcard is the computer's own sound system: PulseAudio, PipeWire,
// ALSA, WASAPI, Core Audio and what else the library malgo knows. It needs a C
// compiler; a build without one says that it has no sound.
package soundcard
