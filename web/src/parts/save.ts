/** Hand a file to the person: the browser's own way of saving. */

export function saveAs(file: Blob, name: string): void {
  const address = URL.createObjectURL(file);
  const link = document.createElement('a');
  link.href = address;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000); // the browser may still be reading it
}
