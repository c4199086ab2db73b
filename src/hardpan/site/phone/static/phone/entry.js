// Entries as a phone makes them: an id, the device's times with their offset, the device's own name.

/** UUID of version 7 (RFC 9562, 5.7): milliseconds, then 74 random bits. */
export function newId(now = Date.now, random = randomBytes) {
  const bytes = random(new Uint8Array(16));
  const view = new DataView(bytes.buffer);
  const milliseconds = Math.max(0, Math.floor(now()));
  view.setUint32(0, Math.floor(milliseconds / 0x10000));
  view.setUint16(4, milliseconds % 0x10000);
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

/** Time by the device's clock with its offset: 2026-05-04T08:05:00-06:00; with milliseconds where `fine`. */
export function deviceTime(milliseconds, fine = false) {
  const east = -new Date(milliseconds).getTimezoneOffset();
  const shown = new Date(milliseconds + east * 60_000).toISOString().slice(0, fine ? 23 : 19);
  const two = (number) => String(Math.floor(number)).padStart(2, "0");
  return `${shown}${east < 0 ? "-" : "+"}${two(Math.abs(east) / 60)}:${two(Math.abs(east) % 60)}`;
}

/** An entry of now; `told` brings street, kind, role, device, payload, and what else is known. */
export function newEntry(told, { now = Date.now, random = randomBytes } = {}) {
  const at = now();
  const time = deviceTime(at);
  return { id: newId(() => at, random), happened_at: time, entered_at: time, ...told };
}

/** Name of a device: letters and digits, made of 96 random bits. */
export function newDevice(random = randomBytes) {
  return Array.from(random(new Uint8Array(12)), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

export function randomBytes(bytes) {
  return crypto.getRandomValues(bytes);
}
