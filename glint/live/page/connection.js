// The socket: says hello, gives out what comes, and has one request for a pose in flight.

import { unpack } from './wire.js';

export class Connection extends EventTarget {
  /** token: the fragment of the page's address. Messages come as events named by their type. */
  constructor(token) {
    super();
    this.seq = 0;
    this.asked = 0; // seq of the pose that is waited for
    this.next = null; // the newest request that waits for that one
    this.kept = {}; // arrays of the last scene
    this.socket = new WebSocket(`ws://${location.host}/socket`);
    this.socket.binaryType = 'arraybuffer';
    this.socket.onopen = () => this.send({ type: 'hello', token, version: 1 });
    this.socket.onclose = (event) => this.give('closed', { code: event.code, reason: event.reason });
    this.socket.onmessage = (event) => this.receive(event.data);
  }

  send(message) {
    this.seq += 1;
    this.socket.send(JSON.stringify({ seq: this.seq, ...message }));
    return this.seq;
  }

  /** Ask for a pose; of several while one is on its way, the newest is asked for next. */
  pose(request) {
    if (this.asked) this.next = request;
    else this.asked = this.send({ type: 'pose', ...request });
  }

  receive(data) {
    if (typeof data === 'string') {
      const message = JSON.parse(data);
      if (message.type === 'problem' && message.doing === 'pose') this.answered(message.seq);
      this.give(message.type, message);
      return;
    }
    const message = unpack(data);
    if (message.kind === 'scene') {
      for (const name of message.facts.kept) message.arrays[name] = this.kept[name];
      this.kept = message.arrays;
    }
    this.give(message.kind, message);
    if (message.seq) this.answered(message.seq);
  }

  answered(seq) {
    if (seq < this.asked) return;
    this.asked = 0;
    const request = this.next;
    this.next = null;
    if (request) this.pose(request);
  }

  give(type, detail) {
    this.dispatchEvent(new CustomEvent(type, { detail }));
  }
}
