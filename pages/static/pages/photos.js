/** Photos as they are kept and sent: made small enough on the phone, and named by what is in them. */

const LONGEST_SIDE = 2048;
const QUALITY = 0.8;

/** The file is no picture that this phone can read. */
export class NoPicture extends Error {}

/**
 * @param {Blob} file
 * @returns {Promise<{sha256: string, blob: Blob}>}
 */
export async function smaller(file) {
  let picture;
  try {
    picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  } catch (why) {
    throw new NoPicture(String(why));
  }
  const share = Math.min(1, LONGEST_SIDE / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(picture.width * share);
  canvas.height = Math.round(picture.height * share);
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await new Promise((resolve) => canvas.toBlob(resolve, "image/jpeg", QUALITY));
  const digest = await crypto.subtle.digest("SHA-256", await blob.arrayBuffer());
  const sha256 = Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, "0")).join("");
  return { sha256, blob };
}
