import { mount } from 'svelte';
import './look/look.css';
import { speak, usualLanguage } from './state/words.svelte';

/** The words of one language come beside the screens, not after them. */
async function begin(target: HTMLElement): Promise<void> {
  const [{ default: App }] = await Promise.all([import('./App.svelte'), speak(usualLanguage())]);
  mount(App, { target });
  if ('serviceWorker' in navigator && import.meta.env.PROD) {
    void navigator.serviceWorker.register('./sw.js');
  }
}

const target = document.getElementById('app');
if (target) void begin(target);
