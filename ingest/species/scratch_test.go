package species
import ("testing";"fmt")
func TestScratch(t *testing.T){
 n:=New(nil)
 for _,s:=range []string{"Corydoras paleatus","corydoras  PALEATUS","Hoplisoma paleatum","Hoplisoma paleatus","C. paleatus","C.paleatus","Cory. paleatus","P. pulcher","A. trifasciata","M. trifasciata","peppered corys","Panzerwelse","Corys","neon","cardinal","kribensis","Corydoras paleatus (Jenyns, 1842)","Corydoras paleatus Jenyns, 1842","Betta splendens Regan","Corydoras aeneus \"Gold Laser\"","Corydoras sp. CW010","Corydoras sp.","Corydoras sp. Peru","Apistogramma cf. cacatuoides","Apistogramma aff. cacatuoides","Xiphophorus hellerii x maculatus","Xiphophorus hellerii × X. maculatus","Paracheirodon innesi/axelrodi","Paracheirodon inessii","Paracheirodon axelrodii","Coridoras paletus","Corydoras julli","Betta foerschi","Betta blue","betta imbellis","albino Corydoras paleatus","albino oscar","gold ram","electric blue acara","Corydoras paleatus albino","Corydoras foo","Corydoras albino","guppy endler","zebra","L046","L 46","L047","Hypancistrus zebra L46","Danio rerio var. frankei","Poecilia reticulata 'Endler'","peppered cory (Corydoras paleatus)","Corydoras paleatus (bronze cory)","Corydoras (Hoplisoma) paleatus","paleatus","Corydoras paleatus?","?","","Xiphophorus helleri","leeri","Zebrabaerbling","Zebra-Bärbling","Kakaduzwergbuntbarsch","C. paletus","sea horse","Otocinclus affinis","O. affinis","H. callistus","guppys","Pelvicachromis pulchra","Paracheirodon simulans","Nothobranchius guentheri Zanzibar TAN 14-02","Corydoras paleatus + neon","Betta splendens Galaxy Koi","\"Corydoras paletus\"","Corydoras panda Peru 2019","molly velifera","ram × Bolivian ram","Poecilia × wingei","S. haraldi","3 Corydoras paleatus","Corydoras aeneus C4"}{
  fmt.Printf("%-45s %+v\n",s,n.Resolve(s))
 }
 fmt.Println(n.ResolveIn("M. trifasciata",[]string{"Melanotaenia"}), n.ResolveIn("paleatus",[]string{"Corydoras"}),n.ResolveIn("A. trifasciata",[]string{"x"}))
 for _,s:=range []string{"What helps Apistogramma cacatuoides?","does a pressure drop matter for Corydoras paleatus?","do peppered corys or angelfish like tetras? Panzerwelse!","Do neon tetras, cardinal tetras and rams spawn? July","Does C. paleatus spawn. panda corys","Betta imbellis and Betta foerschi","wat about Coridoras paleatis","Hilft Regen bei Marmorierten Panzerwelsen?","¿Corydoras necesita lluvia?","zebra danio rerio"}{
  fmt.Println(s); for _,m:=range n.Find(s){fmt.Printf("     %+v\n",m)}
 }
 for _,s:=range []string{"Coryds","corydora plaeatus","neon tetr","xxxx"}{fmt.Println(s,n.Nearest(s))}
}
