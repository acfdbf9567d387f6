package main

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"syscall"
)

// storeFull fills the disk under a SQLite store and makes room again. What
// bounds the file by max_page_count needs no disk and is in the store's own
// tests; here it is a small disk in memory where one can be mounted, and
// everywhere the kernel's limit on the size of a file.
func storeFull(ctx context.Context, l *lab) error {
	switch err := fullDisk(ctx, l); {
	case errors.Is(err, errNoMount):
		fmt.Println("  LEFT OUT: no small disk can be mounted by this user here; the limit on the size of a file stands in for it")
	case err != nil:
		return fmt.Errorf("small disk: %w", err)
	}
	if err := limitedFile(ctx, l); err != nil {
		return fmt.Errorf("limited file: %w", err)
	}
	return nil
}

var errNoMount = errors.New("may not mount")

const (
	smallMiB, largerMiB = 12, 48
)

func fullDisk(ctx context.Context, l *lab) (err error) {
	folder := filepath.Join(l.Scratch, "small")
	if err := os.Mkdir(folder, 0o700); err != nil {
		return err
	}
	err = syscall.Mount("tmpfs", folder, "tmpfs", 0, fmt.Sprintf("size=%dm,mode=700", smallMiB))
	switch {
	case errors.Is(err, syscall.EPERM) || errors.Is(err, syscall.EACCES):
		return errNoMount
	case err != nil:
		return fmt.Errorf("mount: %w", err)
	}
	defer func() { err = errors.Join(err, syscall.Unmount(folder, syscall.MNT_DETACH)) }()
	where := place{file: filepath.Join(folder, "store.db")}
	p, err := l.serve(ctx, where)
	if err != nil {
		return err
	}
	return l.fill(ctx, p, where, fmt.Sprintf("a disk of %d MiB", smallMiB), http.StatusInsufficientStorage, func() error {
		return syscall.Mount("tmpfs", folder, "tmpfs", syscall.MS_REMOUNT, fmt.Sprintf("size=%dm,mode=700", largerMiB))
	})
}

// limitedFile bounds how long a file the service may write, which any user may
// do. The kernel then refuses with another error than a full disk's.
func limitedFile(ctx context.Context, l *lab) error {
	where, err := l.newFile("limited")
	if err != nil {
		return err
	}
	p, err := l.serve(ctx, where)
	if err != nil {
		return err
	}
	limit := func(bytes string) error {
		if output, err := exec.CommandContext(ctx, "prlimit", "--pid", strconv.Itoa(p.Process.Pid), "--fsize="+bytes).CombinedOutput(); err != nil {
			return fmt.Errorf("prlimit: %w: %s", err, output)
		}
		return nil
	}
	if err := limit(strconv.Itoa(smallMiB<<20) + ":"); err != nil { // the soft limit, which can be raised again
		return err
	}
	return l.fill(ctx, p, where, fmt.Sprintf("a limit of %d MiB on a file", smallMiB), http.StatusServiceUnavailable, func() error { return limit("unlimited:") })
}

// fill writes until nothing more is taken, looks at what is there, makes room and
// writes again.
func (l *lab) fill(ctx context.Context, p *process, where place, bound string, status int, makeRoom func() error) error {
	k, err := l.newClub(ctx, p.caller, "full")
	if err != nil {
		return err
	}
	k.key = "full"
	var writes, refused []*write
	const mostWrites, enoughRefusals = 2000, 100
	var poured tally
	for n := 0; len(refused) < enoughRefusals; n++ {
		if n == mostWrites {
			return fmt.Errorf("%d writes went onto %s", n, bound)
		}
		w, err := k.write(n)
		if err != nil {
			return err
		}
		if w.post(ctx, p.caller, &poured); w.kept == nil {
			refused = append(refused, w)
		}
		writes = append(writes, w)
	}
	if err := poured.err(); err != nil {
		return err
	}
	if poured.statuses[status] != len(refused) {
		return fmt.Errorf("refused with %v, want %d of %d", poured.statuses, len(refused), status)
	}
	// What is there can still be read.
	if err := checkRead(ctx, p.caller, writes); err != nil {
		return err
	}
	if err := makeRoom(); err != nil {
		return err
	}
	claimed, err := l.sendAll(ctx, p, where, writes)
	if err != nil {
		return err
	}
	if err := checkRead(ctx, p.caller, writes); err != nil {
		return err
	}
	if err := where.checkWhole(ctx); err != nil {
		return err
	}
	fmt.Printf("  %s: %d writes kept and readable, %d refused with %d; with room again all of those were taken without a restart (%d of them, "+
		"appraisals, after a lease that was aged), and the file is whole\n",
		bound, len(writes)-len(refused), len(refused), status, claimed)
	return p.Stop()
}

// sendAll sends every write again, each with its key. An appraisal takes its key
// before it is computed; where there was no room to let go of it either, it is
// free again when its lease has ended. claimed is how many were in that state.
func (l *lab) sendAll(ctx context.Context, p *process, where place, writes []*write) (claimed int, err error) {
	var again tally
	var left []*write
	for _, w := range writes {
		if w.post(ctx, p.caller, &again) {
			left = append(left, w)
			if w.kind != appraisals {
				return 0, fmt.Errorf("the key of one of the %s is taken and nothing is stored", w.kind)
			}
		}
	}
	if err := where.ageClaims(ctx); err != nil {
		return 0, err
	}
	var last tally
	for _, w := range left {
		w.post(ctx, p.caller, &last)
	}
	refused := again.refused.Load() - int64(len(left)) + last.refused.Load() + again.unanswered.Load() + last.unanswered.Load()
	if refused > 0 {
		return 0, fmt.Errorf("with room again %d writes were refused: %v, %v", refused, again.statuses, last.statuses)
	}
	return len(left), errors.Join(again.err(), last.err())
}
