package storetest

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// Kill ends the server with SIGKILL and no chance to tidy up, as the kernel does
// where memory has run out: the postmaster alone, or its children with it. Start
// then starts it again, once the last child is gone.
func (s *Server) Kill(children bool) error {
	doomed := []int{s.process.Pid}
	if children {
		theirs, err := childrenOf(s.process.Pid)
		if err != nil {
			return err
		}
		doomed = append(doomed, theirs...)
	}
	for _, pid := range doomed {
		if err := syscall.Kill(pid, syscall.SIGKILL); err != nil && !errors.Is(err, syscall.ESRCH) {
			return fmt.Errorf("kill process %d: %w", pid, err)
		}
	}
	<-s.ended
	return nil
}

// Signal sends a signal to the postmaster and its children.
func (s *Server) Signal(signal syscall.Signal) error {
	theirs, err := childrenOf(s.process.Pid)
	if err != nil {
		return err
	}
	for _, pid := range append(theirs, s.process.Pid) {
		if err := syscall.Kill(pid, signal); err != nil && !errors.Is(err, syscall.ESRCH) {
			return fmt.Errorf("signal process %d: %w", pid, err)
		}
	}
	return nil
}

// childrenOf looks through the kernel's list of processes.
func childrenOf(parent int) ([]int, error) {
	files, err := filepath.Glob("/proc/[0-9]*/stat")
	if err != nil {
		return nil, err
	}
	var found []int
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			continue // it has ended since
		}
		// The name, in brackets, may hold anything; state and parent follow it.
		_, rest, _ := strings.Cut(string(text[bytes.LastIndexByte(text, ')')+1:]), " ")
		var state string
		var ppid int
		if _, err := fmt.Sscan(rest, &state, &ppid); err != nil || ppid != parent {
			continue
		}
		pid, err := strconv.Atoi(filepath.Base(filepath.Dir(file)))
		if err != nil {
			return nil, err
		}
		found = append(found, pid)
	}
	return found, nil
}
