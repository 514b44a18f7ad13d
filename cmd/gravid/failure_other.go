//go:build !windows

package main

// systemKinds are kinds of errors that only one system has.
var systemKinds []kind
