/**
 * What a laptop's build of the interpreter cannot do for a firmware that is made for a board, as a text to go before it:
 * voltages to read, registers to look at, and the place of a file in flash (such a build copies what it reads). All else is the interpreter's.
 */
export const LAPTOP_PARTS = `//evenbath 0 pico firmware
global.analogRead=function(){return 0.5};
global.peek32=function(){return 0};
E.getAddressOf=function(){
var F=require("Flash"),at=require("Flash").getFree()[0].addr,f,h,s,n,i;
for(f=0;f<100;f++){
h=F.read(32,at);s=h[0]+256*h[1]+65536*h[2];
if(s==16777215)return 0;
n="";for(i=4;i<32&&h[i];i++)n+=String.fromCharCode(h[i]);
if(n=="eb.journal")return at+32;
at+=32+Math.ceil(s/4)*4}
return 0};
`
