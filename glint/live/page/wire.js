// Binary messages: see PROTOCOL.md.

const TYPES = { f4: Float32Array, f2: Uint16Array, i4: Int32Array, u1: Uint8Array };

export const KINDS = { 1: 'scene', 2: 'pose', 3: 'picture', 4: 'paint', 5: 'strings', 6: 'shapes' };

/** The message of an ArrayBuffer: {kind, seq, facts, arrays: {name: {data, shape}}}, views of it. */
export function unpack(buffer) {
  const head = new DataView(buffer);
  const length = head.getUint32(12, true);
  if (head.getUint32(0) !== 0x676c6e74 || head.getUint16(4, true) !== 1) throw Error('another version');
  const facts = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 16, length)));
  const arrays = {};
  for (const [name, [type, shape, offset]] of Object.entries(facts.arrays)) {
    const count = shape.reduce((a, b) => a * b, 1);
    arrays[name] = { data: new TYPES[type](buffer, 16 + length + offset, count), shape };
  }
  return { kind: KINDS[head.getUint16(6, true)], seq: head.getUint32(8, true), facts, arrays };
}
