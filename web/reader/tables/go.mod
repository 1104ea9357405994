// In the place of golang.org/x/text, for the one package here that asks for it:
// the reader of picture codes, which would bring 275 kB of tables of Asian and
// other alphabets with it. Our codes hold capitals and digits only.
module golang.org/x/text

go 1.26
