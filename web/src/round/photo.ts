// A photo made small before it is kept: what a camera gives is too large for a poor signal, and says where it was taken.

/** Longest side, pixels. */
const SIDE = 1280;
const QUALITY = 0.7;

/** The picture drawn anew as JPEG, without anything else that stood in the file. */
export async function small(file: Blob): Promise<Blob> {
  const picture = await createImageBitmap(file);
  const scale = Math.min(1, SIDE / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  [canvas.width, canvas.height] = [Math.round(picture.width * scale), Math.round(picture.height * scale)];
  canvas.getContext("2d")?.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  return new Promise((done, failed) => {
    canvas.toBlob((made) => (made ? done(made) : failed(new Error("no picture came of it"))), "image/jpeg", QUALITY);
  });
}
