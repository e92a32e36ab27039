#!/bin/sh
# hosts.sh DIRECTORY N PATH - makes N hosts that answer ssh, with commands in PATH, and ends them with itself.
#
# Each host is a network namespace of its own with an address of the documentation's network (RFC 5737) and
# a server of ssh; another namespace is the desk that they are reached from. Nothing of it is reached from
# outside, and all is gone with this process. Where namespaces cannot be made, the hosts are
# servers on ports of 127.0.0.1 instead. DIRECTORY gets:
#
#	kind         `namespaces`, or `ports: WHY`; written last, when all hosts answer
#	config       for ssh -F: hosts h1 to hN
#	desk         a script that runs a command where the hosts are reached from
#	hK.pids      the process of the server of each host
#	kill-host    a script that ends host K and all that runs on it: kill-host K
#
# The file system is the same on all: work is given to a host by what ssh passes on. The home of the hosts is an
# empty folder: a start file of the user's shell may take a lock, and one killed with its host would keep it.
set -eu
dir=$1 n=$2 path=$3
sshd=$(command -v sshd || echo /usr/sbin/sshd)

mkdir -p "$dir/home"
ssh-keygen -q -t ed25519 -N '' -f "$dir/host_key"
ssh-keygen -q -t ed25519 -N '' -f "$dir/user_key"

holders=
stop() {
	for k in $(seq "$n"); do sh "$dir/kill-host" "$k" 2>/dev/null || :; done
	# shellcheck disable=SC2086
	[ -z "$holders" ] || kill $holders 2>/dev/null || :
}
trap stop EXIT
trap 'exit 1' TERM INT HUP

# hold: a new namespace, kept by a process whose number is $held
hold() {
	unshare -n sh -c 'ip link set lo up && echo up >"$1" && exec sleep 3600' sh "$dir/up" &
	held=$!
	holders="$holders $held"
	for i in $(seq 100); do [ -s "$dir/up" ] && break; sleep 0.02; done
	[ -s "$dir/up" ] || return 1
	rm "$dir/up"
}

can_hold() {
	unshare -n ip link set lo up 2>"$dir/why" && unshare -n ip link add name withy0 type veth peer name withy1 2>"$dir/why"
}

serve() { # serve K ADDRESS PORT COMMAND...: the server of host K
	k=$1 address=$2 port=$3
	shift 3
	cat >"$dir/h$k.conf" <<-END
	Port $port
	ListenAddress $address
	HostKey $dir/host_key
	AuthorizedKeysFile $dir/user_key.pub
	PidFile none
	StrictModes no
	UsePAM no
	PermitRootLogin yes
	PasswordAuthentication no
	MaxStartups 100
	SetEnv "PATH=$path" "HOME=$dir/home"
	END
	"$@" "$sshd" -D -e -f "$dir/h$k.conf" 2>"$dir/h$k.log" &
	echo $! >"$dir/h$k.pid"
	cat >>"$dir/config" <<-END
	Host h$k
	HostName $address
	Port $port
	END
}

start() {
	: >"$dir/config"
	if can_hold; then
		kind=namespaces
		hold && desk=$held
		printf '#!/bin/sh\nexec nsenter -t %s -n "$@"\n' "$desk" >"$dir/desk"
		for k in $(seq "$n"); do
			hold
			echo "$held" >"$dir/h$k.held"
			ip link add name "withy$k" netns "$desk" type veth peer name eth netns "$held"
			nsenter -t "$desk" -n ip addr add "198.51.100.$((k * 4 + 1))/30" dev "withy$k"
			nsenter -t "$desk" -n ip link set "withy$k" up
			nsenter -t "$held" -n ip addr add "198.51.100.$((k * 4 + 2))/30" dev eth
			nsenter -t "$held" -n ip link set eth up
			serve "$k" "198.51.100.$((k * 4 + 2))" 22 nsenter -t "$held" -n
		done
	else
		kind="ports: $(tail -n 1 "$dir/why")"
		printf '#!/bin/sh\nexec "$@"\n' >"$dir/desk"
		for k in $(seq "$n"); do serve "$k" 127.0.0.1 "$((20000 + $$ % 20000 + k))"; done
	fi
	cat >>"$dir/config" <<-END
	Host *
	User $(id -un)
	IdentityFile $dir/user_key
	IdentitiesOnly yes
	StrictHostKeyChecking no
	UserKnownHostsFile /dev/null
	LogLevel ERROR
	ConnectTimeout 5
	ServerAliveInterval 1
	ServerAliveCountMax 3
	END
}

# All processes whose network is the host's, or all below its server.
cat >"$dir/kill-host" <<END
#!/bin/sh
cd '$dir'
END
cat >>"$dir/kill-host" <<'END'
below() { for child in $(ps -o pid= --ppid "$1"); do below "$child"; done; echo "$1"; }
if [ -s "h$1.held" ]; then
	net=$(readlink "/proc/$(cat "h$1.held")/ns/net") || exit 0
	for p in /proc/[0-9]*; do
		if [ "$(readlink "$p/ns/net" 2>/dev/null)" = "$net" ]; then list="${list:-} ${p#/proc/}"; fi
	done
else
	list=$(below "$(cat "h$1.pid")")
fi
# this shell may be one of them, so it is the last
for p in $list; do [ "$p" = $$ ] || kill -9 "$p" 2>/dev/null || :; done
case " $(echo $list) " in *" $$ "*) kill -9 $$ ;; esac
END
[ -d /run/sshd ] || mkdir -p /run/sshd 2>/dev/null || :
start
chmod +x "$dir/desk"
for k in $(seq "$n"); do
	answered=
	for i in $(seq 50); do
		"$dir/desk" ssh -F "$dir/config" "h$k" true 2>"$dir/ssh.log" && answered=1 && break
		sleep 0.1
	done
	[ -n "$answered" ] || { cat "$dir/h$k.log" "$dir/ssh.log" >&2; exit 1; }
done
echo "$kind" >"$dir/kind"
while sleep 0.2; do
	[ -e "$dir/kind" ] || exit 0
done
