/** A signature drawn with a finger, a pen or a mouse; what is drawn stays on the page. */

/**
 * @param {HTMLCanvasElement} canvas
 * @returns {{clear: () => void, isDrawn: () => boolean}}
 */
export function drawing(canvas) {
  const pen = canvas.getContext("2d");
  let drawn = 0;
  let last = null;
  const at = (event) => {
    const box = canvas.getBoundingClientRect();
    return [((event.clientX - box.left) * canvas.width) / box.width, ((event.clientY - box.top) * canvas.height) / box.height];
  };
  pen.lineWidth = 4;
  pen.lineCap = "round";
  pen.strokeStyle = getComputedStyle(canvas).color;
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    last = at(event);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (last) {
      const next = at(event);
      pen.beginPath();
      pen.moveTo(...last);
      pen.lineTo(...next);
      pen.stroke();
      drawn += Math.hypot(next[0] - last[0], next[1] - last[1]);
      last = next;
    }
  });
  for (const end of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(end, () => (last = null));
  }
  return {
    clear() {
      pen.clearRect(0, 0, canvas.width, canvas.height);
      drawn = 0;
    },
    isDrawn: () => drawn > canvas.width / 10,
  };
}
