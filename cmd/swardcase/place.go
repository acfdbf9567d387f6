package main

import (
	"context"
	"crypto/rand"
	"errors"
	"flag"
	"time"

	"swardcase/api/service"
	"swardcase/api/store"
)

// placeFlag declares --store and returns how to find where things are kept: the
// flag, or else the environment. Nothing given means nowhere.
func placeFlag(flags *flag.FlagSet) func(*process) store.Place {
	file := flags.String("store", "", "the SQLite `FILE` that things are kept in")
	return func(p *process) store.Place {
		switch {
		case *file != "":
			return store.Place{File: *file}
		case p.env("DATABASE_URL") != "":
			return store.Place{URL: p.env("DATABASE_URL")}
		}
		return store.Place{File: p.env("SWARDCASE_STORE")}
	}
}

// placeHelp is what every command with placeFlag says of it.
const placeHelp = `
Things are kept in the file of --store; without it, in the PostgreSQL database
at DATABASE_URL; without that, in the file named by SWARDCASE_STORE.`

// openService makes the service over a place, or without a store when there is
// none; leave closes the store.
func openService(ctx context.Context, place store.Place) (svc *service.Service, leave func() error, err error) {
	if place == (store.Place{}) {
		svc, err = service.New(service.ModelEngine())
		return svc, func() error { return nil }, err
	}
	kept, err := store.Open(ctx, place)
	if err != nil {
		return nil, nil, err
	}
	svc, err = service.NewKeeping(service.ModelEngine(), service.Keeping{Store: kept, Clock: time.Now, Random: rand.Reader})
	if err != nil {
		return nil, nil, errors.Join(err, kept.Close())
	}
	return svc, kept.Close, nil
}
