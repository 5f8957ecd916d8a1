package stopline

import "golang.org/x/sys/unix"

// peerOf is the user at the other end of a socket, as it was when it connected or began to listen.
func peerOf(descriptor int) (user int, err error) {
	peer, err := unix.GetsockoptUcred(descriptor, unix.SOL_SOCKET, unix.SO_PEERCRED)
	if err != nil {
		return -1, err
	}
	return int(peer.Uid), nil
}
