/** Where in the app we are: the part of the address behind `#`, so that Back works. */

const here = $state({ path: read() });

function read(): string[] {
  const code = /^#pair=(.+)$/.exec(location.hash)?.[1]; // what the QR code of a pairing says
  if (code) return ['pair', decodeURIComponent(code)];
  const path = location.hash.replace(/^#\/?/, '').split('/').filter(Boolean);
  return path.length ? path.map(decodeURIComponent) : ['now'];
}

addEventListener('hashchange', () => {
  here.path = read();
  document.querySelector('.scroll')?.scrollTo(0, 0);
});

export function route(): string[] {
  return here.path;
}

export function to(...path: string[]): string {
  return `#/${path.map(encodeURIComponent).join('/')}`;
}

export function go(...path: string[]): void {
  location.hash = to(...path);
}

/** One step back, or to the first place if the app was opened here. */
export function back(): void {
  if (history.length > 1) history.back();
  else go('now');
}
