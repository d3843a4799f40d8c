/** Names that a phone gives: RFC 9562 version 7, the instant first, so that they sort by it. */

/**
 * @param {number} [at] milliseconds since 1970
 * @returns {string}
 */
export function uuid7(at = Date.now()) {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  new DataView(bytes.buffer).setUint16(0, Math.floor(at / 2 ** 32));
  new DataView(bytes.buffer).setUint32(2, at % 2 ** 32);
  bytes[6] = 0x70 | (bytes[6] & 0x0f);
  bytes[8] = 0x80 | (bytes[8] & 0x3f);
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}
