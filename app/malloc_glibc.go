//go:build linux && cgo

package main

// #include <malloc.h>
// static void give_back(void) {
// #ifdef __GLIBC__
// 	mallopt(M_MMAP_THRESHOLD, 64 * 1024);
// #endif
// }
import "C"

// giveBackPictures has each picture that the graphics library frees go back to the system at once. glibc's malloc
// learns from the first large one freed to keep them all in its heap, where small ones between them hold their room.
func giveBackPictures() { C.give_back() }
