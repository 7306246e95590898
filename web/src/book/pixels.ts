/** Pictures as the browser draws them, no larger than they need to be. */

/** Draw a picture so that its longer side has at most so many pixels. */
export function drawn(image: CanvasImageSource, width: number, height: number, most: number): HTMLCanvasElement {
  const scale = Math.min(1, most / Math.max(width, height));
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(width * scale));
  canvas.height = Math.max(1, Math.round(height * scale));
  canvas.getContext('2d', { willReadFrequently: true })?.drawImage(image, 0, 0, canvas.width, canvas.height);
  return canvas;
}

/** The pixels of a picture that was drawn. */
export function pixelsOf(canvas: HTMLCanvasElement): ImageData | null {
  return canvas.getContext('2d')?.getImageData(0, 0, canvas.width, canvas.height) ?? null;
}
