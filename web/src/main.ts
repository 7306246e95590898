import { mount } from 'svelte';
import './look/look.css';
import App from './App.svelte';

const target = document.getElementById('app');
if (target) mount(App, { target });

if ('serviceWorker' in navigator && import.meta.env.PROD) {
  void navigator.serviceWorker.register('./sw.js');
}
