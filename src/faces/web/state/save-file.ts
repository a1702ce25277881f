/** Hands a file over to the browser, to be kept where the user wants it. */
export function saveFile(name: string, { type, text }: { type: string; text: string }): void {
  const url = URL.createObjectURL(new Blob([text], { type }));
  const link = document.createElement('a');
  link.href = url;
  link.download = name;
  link.click();
  // Some browsers fetch the file only after the click has been dealt with.
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}
