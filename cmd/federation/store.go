package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math/rand/v2"
	"path"
	"slices"
	"strings"

	"github.com/apache/beam/sdks/v2/go/pkg/beam/io/filesystem"

	"gravid/ingest/club/federation"
)

// A ClubTask is the work on one club, or on one of its files. The checksum of the
// manifest holds all workers to the same export.
type ClubTask struct {
	Folder   string // of the club, in the folder of the federation
	Manifest string // SHA-256
	File     int64  // index in the manifest; -1 = the club
}

// reader reads files below a folder, which may be on a disk or in a store such as gs://.
func reader(ctx context.Context, dir string) federation.ReadFile {
	return func(name string) ([]byte, error) {
		store, err := filesystem.New(ctx, dir)
		if err != nil {
			return nil, err
		}
		defer store.Close()
		return filesystem.Read(ctx, store, join(dir, name))
	}
}

// join puts a name below a folder. Unlike path.Join it leaves gs:// as it is.
func join(dir, name string) string { return strings.TrimSuffix(dir, "/") + "/" + name }

// clubsIn lists the clubs of a federation, in order of name.
func clubsIn(ctx context.Context, dir string) ([]ClubTask, []federation.Manifest, error) {
	names, err := list(ctx, dir, federation.Folder("*")+"/"+federation.ManifestFile)
	if err != nil {
		return nil, nil, err
	}
	if len(names) == 0 {
		return nil, nil, fmt.Errorf("%s holds no club; name the folder that gravid export --partition wrote to", dir)
	}
	slices.Sort(names)
	var tasks []ClubTask
	var manifests []federation.Manifest
	for _, name := range names {
		task := ClubTask{Folder: path.Base(path.Dir(strings.ReplaceAll(name, `\`, "/"))), File: -1}
		m, sum, err := manifest(ctx, dir, task.Folder)
		if err != nil {
			return nil, nil, err
		}
		task.Manifest = sum
		tasks, manifests = append(tasks, task), append(manifests, m)
	}
	return tasks, manifests, nil
}

// list gives the files below a folder whose names fit a pattern.
func list(ctx context.Context, dir, pattern string) ([]string, error) {
	store, err := filesystem.New(ctx, dir)
	if err != nil {
		return nil, err
	}
	defer store.Close()
	return store.List(ctx, join(dir, pattern))
}

func manifest(ctx context.Context, dir, folder string) (m federation.Manifest, sum string, err error) {
	text, err := reader(ctx, dir)(path.Join(folder, federation.ManifestFile))
	if err != nil {
		return m, "", err
	}
	x := sha256.Sum256(text)
	m, err = federation.ParseManifest(folder, text)
	return m, hex.EncodeToString(x[:]), err
}

// open reads the manifest of a task's club again.
func (t ClubTask) open(ctx context.Context, dir string) (federation.Manifest, error) {
	m, sum, err := manifest(ctx, dir, t.Folder)
	if err == nil && sum != t.Manifest {
		err = fmt.Errorf("%s: the club was exported anew while its tables were read; run again", t.Folder)
	}
	return m, err
}

// folderOf is where the results for a trigger go, below the folder that is named.
func folderOf(to, trigger string) string { return join(to, "trigger="+trigger) }

const countsFile = "counts.csv"

// free reports an error where there are results already: those of a club that has left
// would stay among the new ones.
func free(ctx context.Context, to, trigger string) error {
	dir := folderOf(to, trigger)
	for _, pattern := range []string{countsFile, federation.Folder("*") + "/*"} {
		names, err := list(ctx, dir, pattern)
		if err != nil {
			return err
		}
		if len(names) > 0 {
			return fmt.Errorf("%s is there already; name another folder with --to, or take it away", names[0])
		}
	}
	return nil
}

func writeDays(ctx context.Context, to, trigger, code string, rows []Row) error {
	text, err := daysTable(rows)
	if err != nil {
		return err
	}
	return write(ctx, join(folderOf(to, trigger), federation.Folder(code)+"/days.csv"), text)
}

func writeCounts(ctx context.Context, to, trigger string, n map[Pattern]int64) error {
	text, err := countsTable(n)
	if err != nil {
		return err
	}
	return write(ctx, join(folderOf(to, trigger), countsFile), text)
}

// write puts a file in its place whole: engines may run a step twice, also at once.
func write(ctx context.Context, name string, content []byte) (err error) {
	store, err := filesystem.New(ctx, name)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	temp := fmt.Sprintf("%s.tmp-%016x", name, rand.Uint64())
	if err := filesystem.Write(ctx, store, temp, content); err != nil {
		return err
	}
	return filesystem.Rename(ctx, store, temp, name)
}
