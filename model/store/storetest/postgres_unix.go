//go:build unix

package storetest

import (
	"os"
	"os/exec"
	"os/user"
	"strconv"
	"syscall"
)

// crash ends the server without a chance to tidy up: its children are told to
// leave at once, and the next start goes through recovery.
const crash = syscall.SIGQUIT

// unprivileged is the user that a server runs as whose test runs as root: its
// own on a distribution, or the one that owns nothing.
func unprivileged() (uid, gid int, ok bool) {
	if os.Geteuid() != 0 {
		return 0, 0, false
	}
	for _, name := range []string{"postgres", "nobody"} {
		u, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, errUID := strconv.Atoi(u.Uid)
		gid, errGID := strconv.Atoi(u.Gid)
		if errUID == nil && errGID == nil {
			return uid, gid, true
		}
	}
	return 0, 0, false
}

func giveToUnprivileged(dir string) error {
	if uid, gid, ok := unprivileged(); ok {
		return os.Chown(dir, uid, gid)
	}
	return nil
}

func asUnprivileged(cmd *exec.Cmd) {
	if uid, gid, ok := unprivileged(); ok {
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}}
	}
}
