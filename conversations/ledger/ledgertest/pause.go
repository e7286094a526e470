//go:build unix

package ledgertest

import "syscall"

// Pause stops the server in its tracks: it accepts connections, as the system
// does that for it, and answers nothing.
func (s *Server) Pause() { s.signal(syscall.SIGSTOP) }

// Resume lets a paused server go on.
func (s *Server) Resume() { s.signal(syscall.SIGCONT) }

func (s *Server) signal(sig syscall.Signal) {
	s.t.Helper()
	if err := s.cmd.Process.Signal(sig); err != nil {
		s.t.Fatal(err)
	}
}
