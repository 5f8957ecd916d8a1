//go:build linux && cgo

package memory

// #include <malloc.h>
// static void keep(void) {
// #ifdef __GLIBC__
// 	mallopt(M_TRIM_THRESHOLD, 256 << 20);
// 	mallopt(M_MMAP_THRESHOLD, 256 << 10);
// #endif
// }
// static void give_back(void) {
// #ifdef __GLIBC__
// 	malloc_trim(0);
// #endif
// }
import "C"

func keep()     { C.keep() }
func giveBack() { C.give_back() }
