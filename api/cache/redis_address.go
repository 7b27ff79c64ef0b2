package cache

import (
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/url"
	"strconv"
	"strings"

	"github.com/redis/go-redis/v9"
)

// redisSchemes says what each form of address means.
var redisSchemes = map[string]struct {
	sentinel, encrypted bool
	port                string
}{
	"redis":           {port: "6379"},
	"rediss":          {port: "6379", encrypted: true},
	"redis+sentinel":  {port: "26379", sentinel: true},
	"rediss+sentinel": {port: "26379", sentinel: true, encrypted: true},
}

// parseRedisAddress reads one of
//
//	redis://[user:password@]host[:port][/database]
//	redis://[user:password@]host[:port],host[:port]...
//	redis+sentinel://[user:password@]host[:port][,host[:port]...]/master[/database]
//
// The first is a single server, the second a cluster, the third a server that
// sentinels look after, by the name they know it under. With rediss in place
// of redis the connections are encrypted. A user and password are for Redis
// itself; sentinels are asked without.
func parseRedisAddress(address string) (*redis.UniversalOptions, error) {
	name, rest, _ := strings.Cut(address, "://")
	scheme, known := redisSchemes[name]
	if !known {
		// The address itself may hold a password and is never repeated.
		return nil, errors.New("the address of Redis must start with redis://, rediss://, redis+sentinel:// or rediss+sentinel://")
	}
	authority, path, _ := strings.Cut(rest, "/")
	if strings.Contains(path, "@") { // the rest of a password, which no error below may repeat
		return nil, errors.New("the user or password in the address of Redis holds a /; write it as %2F")
	}
	o := &redis.UniversalOptions{}
	if scheme.encrypted {
		o.TLSConfig = &tls.Config{MinVersion: tls.VersionTLS12}
	}
	hosts := authority
	if at := strings.LastIndex(authority, "@"); at >= 0 {
		hosts = authority[at+1:]
		var err error
		if o.Username, o.Password, err = redisUser(authority[:at]); err != nil {
			return nil, err
		}
	}
	for host := range strings.SplitSeq(hosts, ",") {
		a, err := redisHost(host, scheme.port)
		if err != nil {
			return nil, err
		}
		o.Addrs = append(o.Addrs, a)
	}
	database := path
	if scheme.sentinel {
		if o.MasterName, database, _ = strings.Cut(path, "/"); o.MasterName == "" {
			return nil, errors.New("the address of a sentinel must end with the name of the master, as in redis+sentinel://host:26379/mymaster")
		}
	}
	return o, setDatabase(o, database)
}

func redisUser(userinfo string) (user, password string, err error) {
	user, password, _ = strings.Cut(userinfo, ":")
	if user, err = url.PathUnescape(user); err == nil {
		password, err = url.PathUnescape(password)
	}
	if err != nil {
		return "", "", errors.New("the user or password in the address of Redis holds a % that is not followed by two hexadecimal digits; write % as %25")
	}
	return user, password, nil
}

// redisHost completes host, host:port, [v6] or [v6]:port.
func redisHost(host, port string) (string, error) {
	u, err := url.Parse("redis://" + host)
	if err != nil || u.Hostname() == "" || u.Host != host || (host[0] != '[' && strings.Contains(u.Hostname(), ":")) {
		return "", fmt.Errorf("%q in the address of Redis is not a host or host:port", host)
	}
	if p := u.Port(); p != "" {
		if n, err := strconv.Atoi(p); err != nil || n < 1 || n > 65535 {
			return "", fmt.Errorf("port %s in the address of Redis is not between 1 and 65535", p)
		}
		port = p
	}
	return net.JoinHostPort(u.Hostname(), port), nil
}

func setDatabase(o *redis.UniversalOptions, database string) error {
	if database == "" {
		return nil
	}
	n, err := strconv.Atoi(database)
	if err != nil || n < 0 {
		return fmt.Errorf("%q in the address of Redis is not a database number such as 0", database)
	}
	if n != 0 && o.MasterName == "" && len(o.Addrs) > 1 {
		return fmt.Errorf("a Redis cluster has no database but 0, not %d", n)
	}
	o.DB = n
	return nil
}
