//go:build linux

package main

import "errors"

func hostileLog(*bench) error { return errors.New("not yet") }
func injection(*bench) error  { return errors.New("not yet") }
func privacy(*bench) error    { return errors.New("not yet") }
