package main

import "github.com/go-gl/glfw/v3.3/glfw"

// drawFlat asks for a window without depth and stencil buffers: nothing in it lies behind anything, and with software
// rendering both were cleared in each frame for nothing (./bench slewing). It applies to windows created after it;
// GLFW must be initialised, as it is once the application has a window.
func drawFlat() {
	glfw.WindowHint(glfw.DepthBits, 0)
	glfw.WindowHint(glfw.StencilBits, 0)
}
