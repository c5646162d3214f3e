/** Hands a text to the person as a file of that name; signs that file systems refuse are left out. */
export function saveFile(name: string, text: string, type: string): void {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(new Blob([text], { type }));
  link.download = name.replace(/[\\/:*?"<>|\s]+/g, ' ').trim();
  link.click();
  window.setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}
