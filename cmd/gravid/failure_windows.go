package main

import "syscall"

// systemKinds are the errors by which Windows says what others say by their names; the
// numbers are those of its header winerror.h, from memory.
var systemKinds = []kind{
	{syscall.Errno(4), fixOpenFiles}, // ERROR_TOO_MANY_OPEN_FILES
	{syscall.Errno(19), fixReadOnly}, // ERROR_WRITE_PROTECT
	{syscall.Errno(32), fixInUse},    // ERROR_SHARING_VIOLATION
	{syscall.Errno(33), fixInUse},    // ERROR_LOCK_VIOLATION
	{syscall.Errno(39), fixRoom},     // ERROR_HANDLE_DISK_FULL
	{syscall.Errno(112), fixRoom},    // ERROR_DISK_FULL
	{syscall.Errno(206), "shorten the name of the file, or of a folder that it is in"}, // ERROR_FILENAME_EXCED_RANGE
}
