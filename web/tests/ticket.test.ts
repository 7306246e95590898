/** What a ticket's code is read as: each rule, and what is left alone. */

import { expect, test } from 'vitest';
import { type Known, readTicket } from '../src/book/ticket';

const METRIC: Known = {
  mass: 't',
  temperature: 'degC',
  plants: [{ id: 'north', name: 'North plant' }],
  mixes: [{ id: 'ac16', name: 'AC 16 binder' }],
};
const US: Known = { ...METRIC, mass: 'ton', temperature: 'degF' };

function read(text: string, known = METRIC): Record<string, string> {
  return Object.fromEntries(readTicket(text, known).proposed.map(({ field, value }) => [field, value]));
}

test.each<[string, Record<string, string>]>([
  ['TICKET=114023;TRUCK=12;GROSS=38.42 t;TARE=16.02 t;NET=22.40 t', { ticket: '114023', truck: '12', gross: '38.42 t', tare: '16.02 t', net: '22.40 t' }],
  ['Ticket no. 114023\nTruck: T-12\nNet weight 22,40 t', { ticket: '114023', truck: 'T-12', net: '22.40 t' }],
  ['Ticket #114 Truck 12 Gross 38.42 t Tare 16.02 t Net 22.40 t', { ticket: '114', truck: '12', gross: '38.42 t', tare: '16.02 t', net: '22.40 t' }],
  ['Tiquete: 114, Camión: 12, Neto: 22.400 kg', { ticket: '114', truck: '12', net: '22400 kg' }],
  ['Bon 114 | Brut 38,42 t | Température 158 °C', { ticket: '114', gross: '38.42 t', temp: '158 degC' }],
  ['{"ticketNumber":"114","net":22.4,"unit":"t"}', { ticket: '114', net: '22.4 t' }],
  ['https://plant.example/t?ticket=114&net=22.40%20t', { ticket: '114', net: '22.40 t' }],
  ['ticket=114&NET_KG=22,400', { ticket: '114', net: '22400 kg' }],
  ['units=kg;gross=38420;tare=16 020;net=22400', { gross: '38420 kg', tare: '16020 kg', net: '22400 kg' }],
  ['plant=North Plant;mix=ac16', { plant: 'north', mix: 'ac16' }],
  ['114023', { ticket: '114023' }],
  ['A-114023', { ticket: 'A-114023' }],
  ['22.40 t', { net: '22.40 t' }],
  ['114023\nNet: 22.40 t', { ticket: '114023', net: '22.40 t' }],
])('%s', (text, expected) => {
  expect(read(text)).toStrictEqual(expected);
});

test.each<[string, string[]]>([
  ['hello from the plant', ['hello from the plant']],
  ['https://plant.example/t/114', ['https://plant.example/t/114']],
  ['https://plant.example/t?ticket=114&by=Sam', ['https://plant.example/t', 'by=Sam']],
  ['net=224 t', ['net=224 t']],
  ['net=-3 t', ['net=-3 t']],
  ['net=22 tons', ['net=22 tons']],
  ['net=22.40 m', ['net=22.40 m']],
  ['plant=South', ['plant=South']],
  ['ticket=none', ['ticket=none']],
  ['temp=hot', ['temp=hot']],
  ['114;115', ['114', '115']],
  ['22.40 t;16.02 t', ['22.40 t', '16.02 t']],
  ['{"ticket":"114","load":{"net":22.4}}', ['load: {"net":22.4}']],
  ['{"ticket":', ['{"ticket":']],
  ['', []],
])('%s leaves %j as it stands', (text, rest) => {
  expect(readTicket(text, METRIC).rest).toStrictEqual(rest);
});

test('what is proposed and what is left are the whole of it', () => {
  const { proposed, rest } = readTicket('ticket=114;net=22.40 t;driver=Sam;net=21.00 t;net=22.40 t', METRIC);
  expect(proposed.map(({ field, value }) => `${field} ${value}`)).toStrictEqual(['ticket 114', 'net 22.40 t']);
  expect(rest).toStrictEqual(['driver=Sam', 'net=21.00 t']);
});

test("a mass without a unit is read in the job's own, and says so", () => {
  expect(readTicket('net=22.40', METRIC).proposed).toStrictEqual([{ field: 'net', value: '22.40 t', assumed: true }]);
  expect(readTicket('net=22.40', US).proposed).toStrictEqual([{ field: 'net', value: '22.40 ton', assumed: true }]);
  expect(readTicket('net=22400', METRIC).proposed).toStrictEqual([]);
  expect(readTicket('net=22.40;unit=t', METRIC).proposed[0]?.assumed).toBe(false);
});

test('tons are short tons where the job weighs in them', () => {
  expect(read('Net 22.40 tons', US)).toStrictEqual({ net: '22.40 ton' });
  expect(read('Net 44,800 lbs; Temp 310 F', US)).toStrictEqual({ net: '44800 lb', temp: '310 degF' });
});

test('no text makes it fail', () => {
  const letters = 'ticket net=:;,&#\n\t {}"0123456789.°Cké\u0000\u{1f69a}';
  let seed = 7;
  for (let round = 0; round < 3000; round += 1) {
    let text = '';
    for (let at = 0; at < round % 40; at += 1) {
      seed = (seed * 48271) % 2147483647;
      text += [...letters][seed % [...letters].length];
    }
    const { proposed } = readTicket(text, METRIC);
    for (const { value } of proposed) expect(value.length).toBeGreaterThan(0);
  }
});
