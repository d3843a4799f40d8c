/** Calls to the service's API with a device token; the cookie of the pages plays no part in them. */

const PREFIX = "/api/v1/";
const WAIT_MS = 30_000;

/** @typedef {{status: number, body: any, date: number | null}} Answer */

/** No answer came: no signal, or none in time. */
export class NoAnswer extends Error {}

/**
 * @param {string} token
 * @param {string} path below the prefix
 * @param {{method?: string, json?: unknown, file?: Blob}} [sent]
 * @returns {Promise<Answer>} also of a problem; NoAnswer where none came
 */
export async function call(token, path, { method = "GET", json, file } = {}) {
  const headers = { Authorization: `Bearer ${token}` };
  if (json !== undefined) {
    headers["Content-Type"] = "application/json";
  } else if (file) {
    headers["Content-Type"] = "application/octet-stream";
  }
  let response, body;
  try {
    response = await fetch(PREFIX + path, {
      method,
      headers,
      body: json === undefined ? file : JSON.stringify(json),
      credentials: "omit",
      cache: "no-store",
      signal: AbortSignal.timeout(file ? WAIT_MS * 10 : WAIT_MS),
    });
    body = /json/.test(response.headers.get("Content-Type") ?? "") ? await response.json() : null;
  } catch (why) {
    throw new NoAnswer(String(why));
  }
  const date = Date.parse(response.headers.get("Date") ?? "");
  return { status: response.status, body, date: Number.isNaN(date) ? null : date };
}
