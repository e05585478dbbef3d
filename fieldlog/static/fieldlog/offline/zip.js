// Files in one ZIP, stored as they are: pictures are compressed already. By the .ZIP File Format Specification (APPNOTE),
// version 6.3; enough for 65,535 files and 4 GB.

const LOCAL = 0x04034b50;
const CENTRAL = 0x02014b50;
const END = 0x06054b50;
const NAMES_IN_UTF8 = 0x0800;

const TABLE = Uint32Array.from({ length: 256 }, (_, n) => {
  for (let bit = 0; bit < 8; bit += 1) n = n & 1 ? 0xedb88320 ^ (n >>> 1) : n >>> 1;
  return n;
});

export function crc32(bytes) {
  let crc = 0xffffffff;
  for (const byte of bytes) crc = TABLE[(crc ^ byte) & 0xff] ^ (crc >>> 8);
  return (crc ^ 0xffffffff) >>> 0;
}

// Numbers of 2 or 4 bytes, the least first: [[value, size], …].
function packed(...fields) {
  const view = new DataView(new ArrayBuffer(fields.reduce((sum, [, size]) => sum + size, 0)));
  let at = 0;
  for (const [value, size] of fields) {
    if (size === 2) view.setUint16(at, value, true);
    else view.setUint32(at, value, true);
    at += size;
  }
  return new Uint8Array(view.buffer);
}

// `files` is [{ name, bytes: Uint8Array }]; gives a Blob.
export function zip(files, now = new Date()) {
  const time = (now.getHours() << 11) | (now.getMinutes() << 5) | (now.getSeconds() >> 1);
  const day = ((now.getFullYear() - 1980) << 9) | ((now.getMonth() + 1) << 5) | now.getDate();
  const [parts, directory] = [[], []];
  let at = 0;
  for (const { name, bytes } of files) {
    const text = new TextEncoder().encode(name);
    const both = [[20, 2], [NAMES_IN_UTF8, 2], [0, 2], [time, 2], [day, 2], [crc32(bytes), 4], [bytes.length, 4], [bytes.length, 4], [text.length, 2], [0, 2]];
    const head = packed([LOCAL, 4], ...both);
    directory.push(packed([CENTRAL, 4], [20, 2], ...both, [0, 2], [0, 2], [0, 2], [0, 4], [at, 4]), text);
    parts.push(head, text, bytes);
    at += head.length + text.length + bytes.length;
  }
  const size = directory.reduce((sum, { length }) => sum + length, 0);
  const end = packed([END, 4], [0, 2], [0, 2], [files.length, 2], [files.length, 2], [size, 4], [at, 4], [0, 2]);
  return new Blob([...parts, ...directory, end]);
}
