// connection.js - JSON-RPC 2.0 with Content-Length headers over two streams.
'use strict';

class Connection {
	// `notes`: what to do with a notification, by its method.
	constructor(input, output, notes) {
		this.output = output;
		this.notes = notes;
		this.waiting = new Map();
		this.number = 0;
		this.bytes = Buffer.alloc(0);
		input.on('data', data => this.take(data));
		input.on('close', () => this.end(new Error('the server ended')));
	}

	send(message) {
		const body = Buffer.from(JSON.stringify(Object.assign({ jsonrpc: '2.0' }, message)));
		this.output.write(Buffer.concat([Buffer.from(`Content-Length: ${body.length}\r\n\r\n`), body]));
	}

	note(method, params) {
		this.send({ method, params });
	}

	ask(method, params) {
		const id = ++this.number;
		return new Promise((resolve, reject) => {
			this.waiting.set(id, { resolve, reject });
			this.send({ id, method, params });
		});
	}

	end(error) {
		for (const one of this.waiting.values()) one.reject(error);
		this.waiting.clear();
	}

	take(data) {
		this.bytes = Buffer.concat([this.bytes, data]);
		for (;;) {
			const header = this.bytes.indexOf('\r\n\r\n');
			const length = header < 0 ? null : /content-length: *(\d+)/i.exec(this.bytes.toString('latin1', 0, header));
			const end = length ? header + 4 + Number(length[1]) : Infinity;
			if (this.bytes.length < end) return;
			const body = this.bytes.toString('utf8', header + 4, end);
			this.bytes = this.bytes.subarray(end);
			this.receive(JSON.parse(body));
		}
	}

	receive(message) {
		if (message.method) {
			if (message.id !== undefined) this.send({ id: message.id, result: null });
			else if (this.notes[message.method]) this.notes[message.method](message.params);
			return;
		}
		const one = this.waiting.get(message.id);
		this.waiting.delete(message.id);
		if (!one) return;
		if (message.error) one.reject(new Error(message.error.message));
		else one.resolve(message.result);
	}
}

module.exports = { Connection };
