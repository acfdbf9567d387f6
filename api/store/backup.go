package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"swardcase/api/service"
)

// Backup copies a SQLite store into a new file while the service goes on using
// it. The copy is one state of the store; it is checked and on disk when Backup
// returns. PostgreSQL brings programs of its own for this.
func Backup(ctx context.Context, file, copyTo string) error {
	if _, err := os.Stat(file); err != nil {
		return fmt.Errorf("back up: %w", err)
	}
	if _, err := os.Stat(copyTo); err == nil {
		return fmt.Errorf("back up: %s is there already", copyTo)
	}
	return beside(copyTo, func(partial string) error {
		db, err := openSQLite(file)
		if err != nil {
			return err
		}
		defer db.close()
		if _, err := db.writer.ExecContext(ctx, "VACUUM INTO $1", partial); err != nil {
			return fmt.Errorf("back up: %w", db.translate(err))
		}
		return checkFile(ctx, partial)
	})
}

// Restore puts a backup where a SQLite store belongs. Nothing is replaced: a
// store that is there must be moved away first. The service must not be running.
func Restore(ctx context.Context, backup, file string) error {
	for _, left := range []string{file, file + "-wal", file + "-shm"} {
		if _, err := os.Stat(left); err == nil {
			return fmt.Errorf("restore: %s is there already; stop the service and move it away first", left)
		}
	}
	return beside(file, func(partial string) error {
		if err := copyFile(backup, partial); err != nil {
			return fmt.Errorf("restore: %w", err)
		}
		return checkFile(ctx, partial)
	})
}

// beside has a file written under another name in the same folder, and gives it
// its own name only when it is whole and on disk.
func beside(file string, write func(partial string) error) (err error) {
	folder, err := os.MkdirTemp(filepath.Dir(file), ".partial-")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(folder)) }()
	partial := filepath.Join(folder, "store.db")
	if err := write(partial); err != nil {
		return err
	}
	if err := os.Chmod(partial, 0o600); err != nil {
		return err
	}
	if err := syncFile(partial); err != nil {
		return err
	}
	if err := os.Link(partial, file); err != nil { // unlike a rename, it never replaces
		return err
	}
	return syncFile(filepath.Dir(file))
}

func syncFile(name string) error {
	file, err := os.Open(name)
	if err != nil {
		return err
	}
	return errors.Join(file.Sync(), file.Close())
}

func copyFile(from, to string) error {
	source, err := os.Open(from)
	if err != nil {
		return err
	}
	defer source.Close()
	target, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(target, source)
	return errors.Join(err, target.Close())
}

// checkFile insists that a file is a whole store and not newer than this program,
// without writing to it. An older one is brought up to date when it is opened.
func checkFile(ctx context.Context, file string) error {
	db, err := sql.Open("sqlite", sqliteFile(file)+"?mode=ro&immutable=1")
	if err != nil {
		return err
	}
	defer db.Close()
	var verdict string
	if err := db.QueryRowContext(ctx, "PRAGMA integrity_check").Scan(&verdict); err != nil || verdict != "ok" {
		return fmt.Errorf("%s is not a whole store: %w", file, errors.Join(errors.New(verdict), err))
	}
	s := &Store{db: &sqlite{writer: db, reader: db}, engine: sqliteEngine(&sqlite{writer: db})}
	if _, _, err := s.migrations(ctx); err != nil {
		var told *service.Error
		if errors.As(err, &told) {
			return fmt.Errorf("%s cannot be used: %s", file, told.Detail)
		}
		return err
	}
	return nil
}
