package storetest

import (
	"os/exec"
	"runtime"
	"syscall"
)

// StartBound starts a command that the kernel sends a signal to when this process
// ends, however this process ends. The channel then gives what waiting for the
// command gave, once.
func StartBound(command *exec.Cmd, signal syscall.Signal) (ended chan error, err error) {
	if command.SysProcAttr == nil {
		command.SysProcAttr = &syscall.SysProcAttr{}
	}
	command.SysProcAttr.Pdeathsig = signal
	started := make(chan error, 1)
	ended = make(chan error, 1)
	go func() {
		// The kernel watches the thread that started it, so that the thread must stay.
		runtime.LockOSThread()
		err := command.Start()
		started <- err
		if err == nil {
			ended <- command.Wait()
		}
	}()
	return ended, <-started
}
