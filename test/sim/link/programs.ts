/**
 * Small programs for a board under test, in the language of the engine: a guard and a firmware that behave towards a
 * laptop as the real ones do, and are small enough to be uploaded hundreds of times.
 */
import { crc32 } from '../../../sim/crc32.ts'
import type { BundleText } from '../../../sim/link/bundles.ts'

function padded(text: string, bytes: number): string {
  let out = text
  while (out.length + 80 < bytes) out += `//${'padding '.repeat(9)}\n`
  while (out.length < bytes || out.length % 4 !== 0) out += '\n'
  return out
}

function bundleOf(text: string, kind: BundleText['kind'], version: string): BundleText {
  return { text, crc32: crc32(Buffer.from(text, 'latin1')), kind, wiring: 'pico', version }
}

/** Starts the newest slot after a moment; knows no tries. `note` makes it another text. */
export function smallGuard(note = ''): BundleText {
  const text = `setTimeout(function(){
var S=require("Storage"),best,bs="";
["eb.a","eb.b"].forEach(function(n){
var d=S.read(n),s=d&&d.length>48?S.read(n,d.length-48,48):"";
if(s.substr(0,3)=="\\n//"&&s.substr(3,8)>bs){bs=s.substr(3,8);best=n}});
if(!best)return;
var n1=S.read(best).length-48;
var a=S.read(best,n1+40,4),b=S.read(best,n1+44,4);
global.guard={slot:best,good:a=="GOOD"||b=="GOOD",healthy:function(){
if(!guard.good){S.write(best,"GOOD",a=="\\xff\\xff\\xff\\xff"?n1+40:n1+44);guard.good=true}}};
eval(S.read(best,0,n1));
},20);
//${note}\n`
  return bundleOf(padded(text, 0), 'guard', '1')
}

/** Answers through hear() and, once it has taken the port, raw. Healthy after `healthyMilliseconds`; 0: never. */
export function smallFirmware(version: string, bytes = 2000, healthyMilliseconds = 30): BundleText {
  const text = `//evenbath ${version} pico firmware
global.fw={heard:"",taken:false,follow:false,told:0};
fw.say=function(m){m.jsonrpc="2.0";var t="\\x1e"+JSON.stringify(m).replace(/[^ -~]/g,function(c){return "\\\\u"+("000"+c.charCodeAt(0).toString(16)).slice(-4)})+"\\n";if(fw.taken)USB.write(t);else print(t)};
fw.answer=function(m){
var r={id:m.id};
if(m.method=="describe")r.result={base:"evenbath",version:"${version}",slot:guard.slot,good:guard.good};
else if(m.method=="status")r.result={state:fw.taken?"turning":"planned",bath:"developer",testTurn:"off"};
else if(m.method=="session.start"){fw.taken=true;E.setConsole(null,{force:true});r.result={}}
else if(m.method=="session.abandon"){fw.taken=false;E.setConsole("USB",{force:true});r.result={}}
else if(m.method=="telemetry.follow"){fw.follow=m.params.everySeconds>0;fw.told=0;r.result=m.params}
else if(m.method=="echo")r.result=m.params;
else if(m.method=="fail")r.error={code:m.params.code,message:"because"};
else if(m.method=="mute")return;
else r.error={code:-32601,message:"Method not found"};
fw.say(r)};
fw.take=function(t){
fw.heard+=t;
for(var e;(e=fw.heard.indexOf("\\n"))>=0;){
var s=fw.heard.substr(0,e),b=s.lastIndexOf("\\x1e"),m=null;
fw.heard=fw.heard.substr(e+1);
if(b>=0){try{m=JSON.parse(s.substr(b+1))}catch(x){}}
if(m)setTimeout(fw.answer,5,m)}};
global.hear=function(t){fw.take(t);fw.say({method:"heard",params:{bytes:t.length}})};
USB.on("data",function(t){if(fw.taken)fw.take(t)});
setInterval(function(){if(fw.follow)fw.say({method:"telemetry",params:{state:"turning",bath:"developer",bathNumber:2,baths:7,progress:0.421,bathCelsius:37.52,secondsToCue:83.2-0.25*fw.told++,rpm:45,charge:0.81,alarms:[]}})},20);
${healthyMilliseconds > 0 ? `setTimeout(function(){guard.healthy()},${healthyMilliseconds});` : ''}
`
  return bundleOf(padded(text, bytes), 'firmware', version)
}
