package inventory

// Shop is one seller.
type Shop struct {
	ID       string
	Name     string
	Currency string         // ISO 4217 code of all its prices
	MinOrder Money          // least value of goods it accepts; zero: none
	Delivery []DeliveryBand // by rising From, the first From nothing; empty: delivery is free
}

// DeliveryBand is a delivery charge that holds for goods worth From or more,
// up to the next band. A negative fee is money off.
type DeliveryBand struct {
	From Money
	Fee  Money
}

// Offer is a product at a shop.
type Offer struct {
	Product string // product id
	Shop    string // shop id
	Price   Money  // for one box
	Limit   *int   // boxes the shop has; nil: no limit
}

// DeliveryFor is what the shop asks for sending goods of a value.
func (s Shop) DeliveryFor(goods Money) Money {
	fee := Money{Currency: s.Currency}
	for _, b := range s.Delivery {
		if !b.From.Amount.GreaterThan(goods.Amount) {
			fee.Amount = b.Fee.Amount
		}
	}
	return fee
}
