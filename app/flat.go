package main

import "github.com/go-gl/glfw/v3.3/glfw"

// drawFlat asks for a window without depth and stencil planes: nothing in it
// lies behind anything, and drawn by the processor both were cleared in each
// frame for nothing (./bench slewing). It serves windows not yet shown, and
// the window library must have begun: an application with a window has.
func drawFlat() {
	glfw.WindowHint(glfw.DepthBits, 0)
	glfw.WindowHint(glfw.StencilBits, 0)
}
